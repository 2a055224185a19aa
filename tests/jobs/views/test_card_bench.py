"""The bench on the card: one tap an outcome, with htmx and without."""

import re

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst

from diagnostics.core.bench.outcomes import Found, what_is_left
from diagnostics.models.bench import BenchOutcome
from diagnostics.models.causes import Cause
from diagnostics.models.judgements import KeptJudgement
from diagnostics.reads.bank import the_bank
from diagnostics.reads.judgement import latest
from diagnostics.reads.weighed import weighed
from jobs.changes import cards
from tests.factories import garage, jobs
from tests.forms import shown_and_folded

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture
def mechanic(client):
    person = garage.person(first_name="Jo")
    client.force_login(person)
    return person


@pytest.fixture
def visit(mechanic):
    return jobs.judged_here(mechanic)


def page(client, visit):
    return client.get(reverse("card", args=[visit.number]))


def tap(client, visit, step, fault="", **headers):
    return client.post(reverse("card-outcome", args=[visit.number, step]), {"fault": fault}, headers=headers)


def first_step(visit):
    known = weighed(latest(visit))
    return what_is_left(known.model, known.evidence.log_weight, Found()).steps[0]


def percents(text):
    """The chances now, by name of the fault."""
    rows = re.findall(r'<th scope="row">([^<]+)</th><td class="number">([^<]+)</td>', text)
    return dict(rows)


def test_a_card_without_a_judgement_shows_no_bench_order(client, mechanic):
    assert "What to do next" not in page(client, jobs.visit_here()).text


def test_where_a_rule_stops_it_the_chances_stand_folded_beside_the_order(client, mechanic):
    stopped = jobs.judged_here(mechanic, {"pinking": "yes"})
    open_words, folded = shown_and_folded(page(client, stopped).text)
    assert "Best order first." in open_words
    assert "Nothing, or nothing more" in folded
    assert "Nothing, or nothing more" not in open_words
    open_words, _ = shown_and_folded(page(client, jobs.judged_here(mechanic)).text)
    assert "Nothing, or nothing more" in open_words


def test_the_card_says_when_to_ring_the_owner(client, visit):
    assert "Ring the owner before it goes over £120." in page(client, visit).text
    visit.bench_limit_pounds = 80
    visit.save()
    assert "Ring the owner before it goes over £80." in page(client, visit).text


def test_each_outcome_of_the_first_step_is_one_button(client, visit):
    step, text = first_step(visit), page(client, visit).text
    assert f'aria-label="Checked, OK: {step.do}"' in text
    for fault in step.looks_for:
        assert f'aria-label="This was it, {the_bank().fault(fault).say}: {step.do}"' in text


def test_a_step_that_looks_for_several_faults_asks_which_one_it_was(client, visit):
    text = page(client, visit).text
    assert '>This was it: <span class="which">the main jet is too large</span></button>' in text
    assert '>This was it: <span class="which">the main jet is too small</span></button>' in text


def test_found_good_changes_list_and_chances_and_leads_back_to_the_card(client, visit):
    step, before = first_step(visit), percents(page(client, visit).text)
    answer = tap(client, visit, step.id)
    assert (answer.status_code, answer["Location"]) == (302, f"{reverse('card', args=[visit.number])}#bench")
    text = page(client, visit).text
    assert f"{step.do}: <b>checked, OK</b>" in text
    assert f'aria-label="Checked, OK: {step.do}"' not in text
    fault = capfirst(the_bank().fault(step.looks_for[0]).say)
    assert int(percents(text)[fault].rstrip("%")) < int(before[fault].rstrip("%"))


def test_with_htmx_the_bench_and_the_close_come_back_alone(client, visit):
    step = first_step(visit)
    answer = tap(client, visit, step.id, step.looks_for[0], **HTMX)
    assert answer.status_code == 200
    assert "HX-Request" in answer["Vary"]
    assert answer.text.lstrip().startswith('<section id="bench"')
    assert '<div id="close" hx-swap-oob="true">' in answer.text
    assert "<h1>" not in answer.text
    assert "Written down. Next: " in answer.text
    assert f"<b>{the_bank().fault(step.looks_for[0]).say}</b>" in answer.text
    assert "Close the card</b>" in answer.text


def test_this_was_it_is_the_cause_that_the_card_is_closed_with(client, visit):
    step = first_step(visit)
    tap(client, visit, step.id, step.looks_for[0])
    client.post(reverse("card-close", args=[visit.number]), {"with": "causes"})
    visit.card.refresh_from_db()
    assert visit.card.closed_at
    assert [row.fault for row in visit.causes.filter(found_good=False)] == [step.looks_for[0]]
    text = page(client, visit).text
    assert f"{step.do}: <b>this was it, " in text
    assert "Undo" not in text


def test_an_outcome_is_taken_back_with_its_cause_and_the_card_is_as_before(client, visit):
    before, step = percents(page(client, visit).text), first_step(visit)
    tap(client, visit, step.id, step.looks_for[0])
    row = BenchOutcome.objects.get()
    assert client.post(reverse("card-outcome-back", args=[visit.number, row.pk])).status_code == 302
    assert percents(page(client, visit).text) == before
    assert not Cause.objects.filter(withdrawn_at=None).exists()
    again = client.post(reverse("card-outcome-back", args=[visit.number, row.pk]), headers=HTMX)
    assert again.status_code == 409
    assert "already taken back" in again.text


def test_withdrawing_the_cause_takes_the_step_back_too_with_htmx(client, visit):
    step = first_step(visit)
    tap(client, visit, step.id, step.looks_for[0])
    url = reverse("card-cause-withdraw", args=[visit.number, Cause.objects.get().pk])
    answer = client.post(url, headers=HTMX)
    assert answer.status_code == 200
    assert f'aria-label="Checked, OK: {step.do}"' in answer.text
    assert "Not said yet" in answer.text


def test_a_second_tap_on_the_same_step_is_refused_in_one_sentence(client, visit):
    step = first_step(visit)
    tap(client, visit, step.id)
    part = tap(client, visit, step.id, **HTMX)
    assert part.status_code == 409
    assert "already done" in part.text
    assert 'role="alert"' in part.text
    assert tap(client, visit, step.id)["Location"] == reverse("card", args=[visit.number])
    assert "already done" in page(client, visit).text


def test_a_fault_that_the_step_does_not_look_for_and_an_unknown_step_are_refused(client, visit):
    step = first_step(visit)
    wrong = tap(client, visit, step.id, "gremlins", **HTMX)
    assert wrong.status_code == 422
    assert "what this step looks for" in wrong.text
    assert tap(client, visit, "no-such-step", **HTMX).status_code == 422
    assert not BenchOutcome.objects.exists()


def test_an_outcome_of_another_visit_is_not_found(client, visit, mechanic):
    step = first_step(visit)
    tap(client, visit, step.id)
    row, other = BenchOutcome.objects.get(), jobs.visit_here()
    assert client.post(reverse("card-outcome-back", args=[other.number, row.pk])).status_code == 404


def test_the_bench_is_the_workshops_alone(client, visit):
    client.logout()
    assert tap(client, visit, "coil").status_code == 302
    assert not BenchOutcome.objects.exists()


def test_a_cause_recorded_by_hand_takes_its_steps_off_the_list(client, visit, mechanic):
    step = first_step(visit)
    cards.found_cause(visit, fault=step.looks_for[0], words="cracked", by=mechanic, now=timezone.now())
    text = page(client, visit).text
    assert "Found and put right" in text
    assert f'aria-label="Checked, OK: {step.do}"' not in text


def test_a_cause_as_free_text_is_marked_as_unknown_to_the_bank(client, visit, mechanic):
    before = percents(page(client, visit).text)
    cards.found_cause(visit, fault="", words="mouse nest in the air box", by=mechanic, now=timezone.now())
    text = page(client, visit).text
    assert "“mouse nest in the air box” is in your own words, so the chances take no account of it." in text
    assert percents(text) == before


def test_the_bench_is_on_the_cards_paper_too(client, visit):
    tap(client, visit, first_step(visit).id)
    answer = client.get(reverse("card-pdf", args=[visit.number]))
    assert answer.content.startswith(b"%PDF")


def test_a_judgement_of_an_older_edition_is_weighed_with_todays_bank(client, visit):
    older = {"at": timezone.now(), "edition": "an older one", "case": {"gone": 1}, "route": "fix-first", "result": {}}
    KeptJudgement.objects.create(visit=visit, **older)
    assert "What to do next" in page(client, visit).text


def test_the_card_with_a_bench_takes_no_more_queries_with_more_done(
    client, visit, mechanic, django_assert_max_num_queries
):
    for step in ("coil", "unit", "earths", "pickup"):
        cards.step_good(visit, step=step, by=mechanic, now=timezone.now())
    # One for what the owner was told about the machine's safety; five for what was asked, parts and runs.
    with django_assert_max_num_queries(22):
        assert page(client, visit).status_code == 200
