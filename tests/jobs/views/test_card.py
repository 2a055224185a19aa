from datetime import timedelta
from decimal import Decimal

import pytest
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from diagnostics.changes import gate_answers, gates
from diagnostics.core.gate_list import AT_BENCH
from diagnostics.core.gate_sheet import GateSheet
from diagnostics.reads.bank import the_bank
from garage.core import states
from garage.core.text.unbroken import kept_together
from garage.models.visits import Step, Visit
from garage.reads.shop import the_shop
from jobs.changes import cards, closing, labour
from jobs.models.cards import Card, CardLine, Labour
from jobs.pages.card import card_page
from tests.factories import garage, jobs
from tests.factories.diagnostics import gate_answered, gate_over
from tests.forms import values_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def mechanic(client):
    person = garage.person(first_name="Jo")
    client.force_login(person)
    return person


def page(client, visit):
    return client.get(reverse("card", args=[visit.number]))


def post(client, name, *args, follow=False, **typed):
    return client.post(reverse(name, args=args), typed, follow=follow)


def test_the_card_of_a_visit_asks_for_a_log_in(client):
    assert page(client, jobs.visit_here()).status_code == 302


def test_looking_at_a_card_opens_none(client, mechanic):
    visit = jobs.visit_here()
    assert "Start the clock" in page(client, visit).text
    assert not Card.objects.exists()


def test_a_clock_is_started_and_stopped_from_the_card(client, mechanic):
    visit = jobs.visit_here()
    assert post(client, "card-labour-start", visit.number).status_code == 302
    assert "Stop the clock" in page(client, visit).text
    clock = Labour.objects.get(by=mechanic)
    post(client, "card-labour-stop", visit.number, clock.pk)
    clock.refresh_from_db()
    assert clock.ended_at is not None


def test_a_second_clock_names_the_first_and_offers_to_stop_it_there(client, mechanic):
    first, second = jobs.visit_here(), jobs.visit_here()
    labour.start(first, by=mechanic, now=timezone.now())
    answer = post(client, "card-labour-start", second.number, follow=True)
    assert answer.redirect_chain == [(reverse("card", args=[second.number]), 302)]
    assert f"Your clock is running on visit {first.number}, Corrick 185: stop it there first." in answer.text
    clock = Labour.objects.get(by=mechanic)
    assert reverse("card-labour-stop", args=[first.number, clock.pk]) in answer.text


def test_all_kinds_of_lines_are_written_and_shown(client, mechanic):
    visit = jobs.visit_here()
    answer = post(
        client,
        "card-write",
        visit.number,
        **{"work-words": "Pickup levelled", "note-words": "Plug wet"},
        **{"jet-words": "Main jet", "jet-before": "98", "jet-after": "102"},
        **{"reading-words": "Plug gap", "reading-before": "0.9", "reading-after": "0.6", "reading-unit": "mm"},
        **{"part-words": "Plug cap", "part-quantity": "2", "part-price_each": "6.20"},
    )
    assert answer["Location"] == f"{reverse('card', args=[visit.number])}#hand"
    text = page(client, visit).text
    for said in (
        "Pickup levelled",
        "Note: Plug wet",
        "98 out, 102 in",
        "0.9 mm as found, 0.6 mm as left",
        "£6.20 each",
    ):
        assert said in text
    part = CardLine.objects.get(what="part")
    assert (part.quantity, part.price_each) == (Decimal("2.00"), Decimal("6.20"))


def test_a_price_that_cannot_be_read_keeps_what_was_typed(client, mechanic):
    visit = jobs.visit_here()
    typed = {"part-words": "Plug cap", "part-quantity": "2", "part-price_each": "six", "note-words": "Plug wet"}
    answer = post(client, "card-write", visit.number, **typed)
    assert answer.status_code == 422
    assert '<details class="add" id="add-part" open>' in answer.text
    assert '<details class="add" id="add-jet">' in answer.text
    assert 'value="Plug wet"' in answer.text
    assert "allowed is an amount in pounds" in answer.text
    assert 'value="Plug cap"' in answer.text
    assert 'value="six"' in answer.text
    assert not CardLine.objects.exists()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"reading-words": "Plug gap"}, "a value as found, one as left, or both"),
        ({"part-words": "Cap", "part-quantity": "0", "part-price_each": "1"}, ""),
        ({"note-words": "x" * 201}, ""),
    ],
)
def test_one_line_that_is_refused_keeps_all_of_them_off_the_card(client, mechanic, typed, said):
    visit = jobs.visit_here()
    answer = post(client, "card-write", visit.number, **{"work-words": "Pickup levelled"} | typed)
    assert answer.status_code == 422
    assert said in answer.text
    assert 'value="Pickup levelled"' in answer.text
    assert not CardLine.objects.exists()


def test_the_page_as_it_stands_writes_nothing_and_says_what_to_fill_in(client, mechanic):
    visit = jobs.visit_here()
    untouched = values_of(page(client, visit).text, "Write it on the card")
    answer = post(client, "card-write", visit.number, **untouched)
    assert answer.status_code == 422
    assert "Nothing is filled in yet" in answer.text
    assert not CardLine.objects.exists()
    post(client, "card-write", visit.number, **untouched | {"note-words": "Plug wet"})
    assert [line.words for line in CardLine.objects.all()] == ["Plug wet"]


def test_part_reading_and_note_stand_beside_the_step_in_hand_and_before_the_bench(client, mechanic):
    visit = jobs.judged_here(mechanic)
    step = Step.objects.create(visit=visit, index=0, at="bench", minutes=40, what="fix first")
    text = page(client, visit).text
    order = [f"Start {step.what} at Bench 1", "note-words", "add-part", "add-reading", 'id="bench"', 'id="lines"']
    places = [text.index(words) for words in order]
    assert places == sorted(places)


def test_a_step_is_begun_and_finished_on_the_card_and_the_page_stays_put(client, mechanic):
    visit = jobs.visit_here()
    step = Step.objects.create(visit=visit, index=0, at="bench", minutes=40, what="fix first")
    here = f"{reverse('card', args=[visit.number])}#hand"
    values = values_of(page(client, visit).text, f"Start {step.what} at Bench 1your clock starts too")
    begun = post(client, "step-begin", step.pk, **values | {"station": 1})
    assert begun["Location"] == here
    assert Labour.objects.get(by=mechanic).ended_at is None
    text = page(client, visit).text
    assert "Finish: fix first" in text
    assert "Stop the clock" in text
    ended = post(client, "step-end", step.pk, card=visit.number)
    assert ended["Location"] == here
    assert Labour.objects.get(by=mechanic).ended_at is not None


def test_a_check_leads_to_the_gate(client, mechanic):
    visit = jobs.visit_here()
    Step.objects.create(visit=visit, index=0, at="bench", minutes=10, what="gate", is_check=True)
    text = page(client, visit).text
    assert "Next: the gate" in text
    assert "Start gate" not in text


def test_the_line_written_last_stands_beside_the_step_until_it_is_struck_out(client, mechanic):
    line = jobs.part(jobs.card())
    assert "Written last:" in page(client, line.card.visit).text
    post(client, "card-line-strike", line.card.visit.number, line.pk)
    assert "Written last:" not in page(client, line.card.visit).text


def test_a_line_of_another_card_is_not_found(client, mechanic):
    line = jobs.part(jobs.card())
    assert post(client, "card-line-strike", jobs.visit_here().number, line.pk).status_code == 404


def test_an_unknown_kind_of_line_is_not_found(client, mechanic):
    for what in ("wish", "note"):
        assert post(client, "card-add", jobs.visit_here().number, what, words="a pony").status_code == 404


def test_a_line_is_struck_out_once(client, mechanic):
    line = jobs.part(jobs.card())
    visit = line.card.visit
    assert post(client, "card-line-strike", visit.number, line.pk).status_code == 302
    assert "<s>" in page(client, visit).text
    assert "already struck out" in post(client, "card-line-strike", visit.number, line.pk, follow=True).text


def test_the_card_is_closed_with_a_cause_chosen_from_the_bank(client, mechanic):
    visit, fault = jobs.visit_here(), the_bank().faults[0]
    post(client, "card-add", visit.number, "cause", fault=fault.id, words="")
    assert post(client, "card-close", visit.number, **{"with": "causes"}).status_code == 302
    text = page(client, visit).text
    assert f"by {mechanic.name}" in text
    assert fault.say in text


def test_closing_without_a_cause_is_refused_and_with_nothing_wrong_allowed(client, mechanic):
    card = jobs.card()
    refused = post(client, "card-close", card.visit.number, **{"with": "causes"})
    assert refused.status_code == 409
    needed = "A card needs a cause or &quot;nothing wrong&quot; before it can be closed."
    assert f'<p class="trouble" role="alert" data-trouble tabindex="-1">{needed}</p>' in refused.text
    assert post(client, "card-close", card.visit.number, **{"with": "nothing-wrong"}).status_code == 302
    card.refresh_from_db()
    assert card.nothing_wrong


def test_closing_asks_how_long_was_worked_by_a_clock_that_still_runs(client, mechanic):
    card = jobs.card()
    clock = labour.start(card.visit, by=mechanic, now=timezone.now() - timedelta(minutes=200, seconds=5))
    shown = page(client, card.visit).text
    assert f"{mechanic.name}’s clock is still running: minutes worked" in shown
    assert f'name="worked_{clock.pk}" value="200"' in shown
    wrong = post(client, "card-close", card.visit.number, **{"with": "nothing-wrong", f"worked_{clock.pk}": "500"})
    assert wrong.status_code == 422
    assert "1 to 200, what the clock shows" in wrong.text
    assert 'value="500"' in wrong.text
    right = post(client, "card-close", card.visit.number, **{"with": "nothing-wrong", f"worked_{clock.pk}": "45"})
    assert right.status_code == 302
    clock.refresh_from_db()
    assert clock.ended_at - clock.began_at == timedelta(minutes=45)


def test_the_boss_reopens_a_card_and_a_mechanic_is_not_offered_it(client, mechanic):
    card = jobs.closed_card()
    assert "Reopen the card" not in page(client, card.visit).text
    assert post(client, "card-reopen", card.visit.number, reason="More was done.").status_code == 403
    client.force_login(garage.boss())
    assert "Reopen the card" in page(client, card.visit).text
    empty = post(client, "card-reopen", card.visit.number, reason="")
    assert empty.status_code == 422
    assert '<details class="add" open>' in empty.text
    assert post(client, "card-reopen", card.visit.number, reason="More was done.").status_code == 302
    card.refresh_from_db()
    assert card.closed_at is None


def test_a_cause_is_withdrawn_before_and_corrected_after_closing(client, mechanic):
    card = jobs.card()
    cards.found_cause(card.visit, fault="", words="spark plug", by=mechanic, now=timezone.now())
    first = card.visit.causes.get()
    post(client, "card-cause-withdraw", card.visit.number, first.pk)
    cards.found_cause(card.visit, fault="", words="plug cap", by=mechanic, now=timezone.now())
    closing.close_with_causes(card.visit, by=mechanic, now=timezone.now())
    second = card.visit.causes.get(withdrawn_at=None)
    assert "closed" in post(client, "card-cause-withdraw", card.visit.number, second.pk, follow=True).text
    second.refresh_from_db()
    assert second.withdrawn_at is None
    address = reverse("card-cause-correct", args=[card.visit.number, second.pk])
    assert "plug cap" in client.get(address).text
    assert client.post(address, {"fault": "", "words": ""}).status_code == 422
    assert client.post(address, {"fault": "", "words": "pickup"}).status_code == 302
    assert card.visit.causes.get(withdrawn_at=None).words == "pickup"


def test_a_card_closed_with_nothing_wrong_gets_a_cause_and_loses_it_again(client, mechanic):
    card = jobs.closed_card()
    number = card.visit.number
    late = reverse("card-cause-late", args=[number])
    assert late in client.get(reverse("card", args=[number])).text
    assert "closed with “nothing wrong”" in client.get(late).text
    assert client.post(late, {"fault": "", "words": ""}).status_code == 422
    page = client.post(late, {"fault": "air-leak", "words": ""}, follow=True).text
    assert "nothing wrong" not in page
    assert late in page
    cause = card.visit.causes.get()
    asked = client.get(reverse("card-cause-correct", args=[number, cause.pk])).text
    assert "the card then says “nothing wrong”" in asked
    none = reverse("card-cause-none", args=[number, cause.pk])
    assert none in asked
    assert "Closed" in client.post(none, follow=True).text
    card.refresh_from_db()
    assert card.nothing_wrong
    assert "already withdrawn" in client.post(none, follow=True).text


def test_one_of_two_causes_is_removed_and_the_page_says_what_remains(client, mechanic):
    card = jobs.card()
    for words in ("spark plug", "plug cap"):
        cards.found_cause(card.visit, fault="", words=words, by=mechanic, now=timezone.now())
    closing.close_with_causes(card.visit, by=mechanic, now=timezone.now())
    cause = card.visit.causes.get(words="spark plug")
    asked = client.get(reverse("card-cause-correct", args=[card.visit.number, cause.pk])).text
    assert "the card then says plug cap" in asked
    client.post(reverse("card-cause-none", args=[card.visit.number, cause.pk]))
    assert [one.words for one in card.visit.causes.filter(withdrawn_at=None)] == ["plug cap"]


def test_the_causes_of_an_open_card_are_not_corrected_by_these_pages(client, mechanic):
    card = jobs.card()
    cards.found_cause(card.visit, fault="", words="spark plug", by=mechanic, now=timezone.now())
    cause = card.visit.causes.get()
    number = card.visit.number
    answer = client.post(reverse("card-cause-late", args=[number]), {"fault": "", "words": "plug cap"})
    assert answer.status_code == 409
    assert "is not closed" in answer.text
    assert "is not closed" in client.post(reverse("card-cause-none", args=[number, cause.pk]), follow=True).text
    assert card.visit.causes.get().withdrawn_at is None


LEVELS = "Work out the packers"


def test_where_the_strobe_climbs_the_card_leads_to_the_packers_until_they_are_taken(client, mechanic):
    garage.shop()
    gate = gate_over(strobe_readings=[[1400, 14], [9000, 19.5]], strobe_verdict="advances", passed=False)
    card = reverse("card", args=[gate.visit.number])
    page = client.get(card).text
    assert "14°, then 19.5°" in page
    assert f'{reverse("machine", args=[gate.visit.machine_id])}#packers"' in page
    for place in (reverse("machine", args=[gate.visit.machine_id]), reverse("gate", args=[gate.visit.number])):
        assert f'href="#packers">{LEVELS}' in client.get(place).text
        assert 'id="packers"' in client.get(place).text
    gate.packers_mm = ["0.5"]
    gate.save()
    page = client.get(card).text
    assert LEVELS not in page
    assert "0.5 mm taken to go under the stator plate" in page
    assert reverse("gate", args=[gate.visit.number]) in page


@pytest.mark.parametrize("verdict", ["in-spec", "eases-back", "offset", "erratic"])
def test_another_verdict_of_the_strobe_leads_to_no_packers(client, mechanic, verdict):
    gate = gate_over(strobe_readings=[[1400, 17], [9000, 16]], strobe_verdict=verdict, passed=False)
    assert LEVELS not in client.get(reverse("card", args=[gate.visit.number])).text


def test_what_was_read_at_the_gate_stands_on_the_card_and_on_paper(client, mechanic):
    garage.shop()
    gate = gates.begin(garage.visit(state=states.HERE), by=mechanic, now=timezone.now())
    visit = gate.visit
    assert "Read at the gate" not in client.get(reverse("card", args=[visit.number])).text
    gate_answered(gate, by=mechanic, part=AT_BENCH)
    assert gate.items.filter(item="rev-out").exists()
    shown = card_page(visit, now=timezone.now())
    assert [(reading.says, reading.said, reading.row.by) for reading in shown.gate_readings] == [
        ("Strobe", "17° at 1,400 rpm, 16.5° at 9,000 rpm", mechanic),
        ("Compression by gauge, or leak-down", "in order: 9.5 bar", mechanic),
    ]
    text = client.get(reverse("card", args=[visit.number])).text
    assert kept_together("Strobe: 17° at 1,400 rpm, 16.5° at 9,000 rpm") in text
    paper = render_to_string("papers/card.html", {"page": shown, "shop": the_shop()})
    assert kept_together("in order: 9.5 bar") in paper


def test_what_was_not_read_at_the_gate_is_no_reading_of_the_card(client, mechanic):
    garage.shop()
    gate = gates.begin(garage.visit(state=states.HERE), by=mechanic, now=timezone.now())
    gate_answered(gate, by=mechanic, part=AT_BENCH, strobe=(), not_seen="no marks", rev_out="")
    unmeasured = GateSheet({"compression": "na"}, {"compression": "no adapter"})
    gate_answers.answer(gate, given=unmeasured, by=mechanic, now=timezone.now())
    assert gate.items.filter(item="strobe").exists()
    assert card_page(gate.visit, now=timezone.now()).gate_readings == ()


def test_what_was_found_is_said_on_the_card_before_anybody_has_decided_on_the_route(client, mechanic):
    visit = jobs.visit_here(must_not_run=["It pinks."], route="fix-first", route_reasons=["Rich."])
    assert '<div class="care"><p><b>Do not run it.</b> It pinks.' in page(client, visit).text


def test_a_closed_card_leads_to_no_packers(client, mechanic):
    gate = gate_over(strobe_readings=[[1400, 14], [9000, 19.5]], strobe_verdict="advances", passed=False)
    jobs.closed_card(visit=gate.visit)
    assert LEVELS not in client.get(reverse("card", args=[gate.visit.number])).text


def test_a_clock_is_put_right_on_its_own_page(client, mechanic):
    card = jobs.card()
    clock = jobs.labour(card, minutes=60)
    address = reverse("card-labour-right", args=[card.visit.number, clock.pk])
    assert client.get(address).status_code == 200
    answer = client.post(address, {"minutes": "61"})
    assert answer.status_code == 422
    assert "0 to 60" in answer.text
    assert client.post(address, {"minutes": "40"}).status_code == 302


def test_a_card_is_not_opened_for_a_machine_still_to_come(client, mechanic):
    visit = jobs.visit_here(state=states.BOOKED, arrived_at=None)
    answer = post(client, "card-labour-start", visit.number, follow=True)
    assert answer.redirect_chain == [(reverse("card", args=[visit.number]), 302)]
    assert "take the machine in" in answer.text
    assert not Card.objects.exists()


def test_the_card_has_a_paper_version(client, mechanic):
    card = jobs.card()
    jobs.part(card)
    answer = client.get(reverse("card-pdf", args=[card.visit.number]))
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")


def test_the_cards_page_takes_no_more_queries_with_more_lines(client, mechanic, django_assert_max_num_queries):
    card = jobs.card()
    for _ in range(12):
        jobs.part(card)
        jobs.labour(card, minutes=5)
    # What the owner was asked, the parts to choose from, what is ordered, its runs and the units they are shown in.
    with django_assert_max_num_queries(22):
        assert page(client, card.visit).status_code == 200


def test_a_tap_on_the_card_changes_its_own_part_so_that_a_half_written_note_stays(client, mechanic):
    text = page(client, jobs.card().visit).text
    clocks = text[text.index('id="in-hand"') : text.index('id="write"')]
    assert 'hx-select="#in-hand"' in clocks
    assert "hx-post" in clocks
    assert "note-words" not in clocks
    for part in ("messages", "card-state", "labour", "close", "card-lines"):
        assert text.count(f'id="{part}"') == 1


def test_the_card_says_why_nobody_rides_it_and_a_ride_sent_all_the_same_stays_typed(client):
    visit, by = jobs.visit_here(), garage.person()
    client.force_login(by)
    page = client.get(reverse("card", args=[visit.number])).text
    assert "has not passed the gate at the bench, where tyres" in page
    assert 'name="ride-words"' not in page
    sent = {"ride-words": "Round the block", "ride-insured": "insured by the owner"}
    answer = client.post(reverse("card-write", args=[visit.number]), sent)
    assert answer.status_code != 302
    assert "has not passed the gate at the bench, where tyres" in answer.text
    assert 'value="Round the block"' in answer.text
    Visit.objects.filter(pk=visit.pk).update(gate_at_bench_passed_at=timezone.now())
    assert client.post(reverse("card-write", args=[visit.number]), sent).status_code == 302
    page = client.get(reverse("card", args=[visit.number])).text
    assert f"Test ride, {by.name}, insured by the owner: Round the block" in page
