from decimal import Decimal
from functools import partial

import pytest
from django.db import transaction
from django.utils import timezone

from diagnostics.changes import gates
from diagnostics.models.bench import BenchOutcome
from diagnostics.models.causes import Cause
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import standing
from diagnostics.reads.causes import fault_words
from garage.core import routes, states
from garage.core.errors import BadInput, Refused
from garage.models.trail import TrailRow
from jobs.changes import cards, closing, labour
from jobs.models.cards import Card, CardLine
from tests.factories import garage, jobs
from tests.factories.diagnostics import gate_ended
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


def a_fault():
    return the_bank().faults[0].id


def test_a_card_is_opened_by_its_first_line():
    visit, by = jobs.visit_here(), garage.person()
    line = cards.note(visit, what=CardLine.WORK, words="Stator plate off, pickup levelled", by=by, now=timezone.now())
    assert (line.card.visit, line.card.opened_by, line.card.closed_at) == (visit, by, None)


def test_no_card_is_opened_for_a_machine_that_is_not_here():
    visit = jobs.visit_here(state=states.BOOKED)
    with pytest.raises(Refused, match="take the machine in"):
        cards.note(visit, what=CardLine.NOTE, words="rings", by=garage.person(), now=timezone.now())
    assert not Card.objects.exists()


def test_all_kinds_of_lines_are_on_the_card_in_order():
    visit, by = jobs.visit_here(), garage.person()
    cards.note(visit, what=CardLine.NOTE, words="Plug wet", by=by, now=timezone.now())
    jet = {"words": "Main jet", "before": "98", "after": "102", "pulled_clean": False}
    cards.change_of_jet(visit, **jet, by=by, now=timezone.now())
    plug = {"of": "", "words": "Plug gap", "unit": "mm", "rpm": None}
    cards.reading(visit, **plug, before="0.9", after="0.6", by=by, now=timezone.now())
    cards.part(visit, words="Plug cap", quantity=Decimal(1), price_each=Decimal("6.20"), by=by, now=timezone.now())
    assert [line.what for line in visit.card.lines.all()] == ["note", "jet", "reading", "part"]


def test_all_parts_on_a_card_come_to_no_more_than_an_invoice_can_say():
    visit, by, now = jobs.visit_here(), garage.person(), timezone.now()
    most = {"words": "Crank", "by": by, "now": now}
    cards.part(visit, quantity=Decimal(2), price_each=Decimal("499999.99"), **most)
    with pytest.raises(BadInput, match=r"all parts on the card come to at most £999,999\.99"):
        cards.part(visit, quantity=Decimal(1), price_each=Decimal("0.02"), **most)
    cards.part(visit, quantity=Decimal(1), price_each=Decimal("0.01"), **most)
    with pytest.raises(BadInput, match=r"'£999,999\.99, 9999 times'; allowed is a price"):
        cards.part(jobs.visit_here(), quantity=Decimal(9999), price_each=Decimal("999999.99"), **most)
    cards.strike(visit.card.lines.first(), by=by, now=now)
    cards.part(visit, quantity=Decimal(1), price_each=Decimal("900000"), **most)


def test_a_struck_out_line_stays_readable_and_is_not_charged():
    card = jobs.card()
    line = jobs.part(card)
    cards.strike(line, by=card.opened_by, now=timezone.now())
    line.refresh_from_db()
    assert line.struck_at
    assert line.words == "Main jet 98"
    with pytest.raises(Refused, match="already"):
        cards.strike(line, by=card.opened_by, now=timezone.now())


def test_nothing_is_written_on_a_closed_card():
    card = jobs.closed_card()
    line = jobs.part(card)
    for change in (
        lambda: cards.note(card.visit, what=CardLine.WORK, words="more", by=card.opened_by, now=timezone.now()),
        lambda: cards.strike(line, by=card.opened_by, now=timezone.now()),
        lambda: cards.found_cause(card.visit, fault=a_fault(), words="", by=card.opened_by, now=timezone.now()),
        lambda: labour.start(card.visit, by=card.opened_by, now=timezone.now()),
        lambda: closing.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now()),
    ):
        with pytest.raises(Refused, match="is closed"):
            change()


def test_the_opening_of_a_card_is_kept_and_noted():
    visit, by, now = jobs.visit_here(), garage.person(), timezone.now()
    with transaction.atomic():
        card = cards.opened(visit, by=by, now=now)
        assert cards.opened(visit, by=garage.person(), now=now) == card
    check_noted("opened the card", by=by, at=now, visit=visit)
    card.refresh_from_db()
    assert (card.visit, card.opened_by, card.opened_at) == (visit, by, now)
    assert TrailRow.objects.count() == 1


WRITTEN = {
    "work": (cards.note, {"what": "work", "words": "Plate off"}, "work done, Plate off"),
    "note": (cards.note, {"what": "note", "words": "Plug wet"}, "note, Plug wet"),
    "jet": (
        partial(cards.change_of_jet, pulled_clean=False),
        {"words": "Idle jet", "before": "50", "after": "45"},
        "jet, Idle jet",
    ),
    "reading": (
        cards.reading,
        {"of": "", "words": "Plug gap", "before": "0.9", "after": "0.6", "unit": "mm", "rpm": None},
        "reading, Plug gap",
    ),
    "part": (
        cards.part,
        {"words": "Plug cap", "quantity": Decimal("2.00"), "price_each": Decimal("6.20")},
        "part, Plug cap",
    ),
}


@pytest.mark.parametrize("what", WRITTEN)
def test_what_is_written_on_the_card_is_kept_whole_and_noted(what):
    change, given, said = WRITTEN[what]
    card, now, by = jobs.card(), timezone.now(), garage.person()
    change(card.visit, by=by, now=now, **given)
    check_noted(f"wrote on the card: {said}", by=by, at=now, visit=card.visit)
    line = CardLine.objects.get()
    empty = {"before": "", "after": "", "unit": "", "quantity": None, "price_each": None, "struck_at": None}
    kept = {name: value for name, value in given.items() if name != "of"}
    for name, value in (empty | {"what": what, "card": card, "by": by, "at": now} | kept).items():
        assert getattr(line, name) == value


@pytest.mark.parametrize(
    ("what", "given", "sentence"),
    [
        ("note", {"what": "part"}, "kind of line is 'part'; allowed is work or note."),
        ("note", {"words": " "}, "words is missing; allowed is a few words to say what it is."),
        (
            "jet",
            {"before": "", "after": ""},
            "jet is missing; allowed is the jet taken out, the jet put in, or both.",
        ),
        (
            "reading",
            {"before": "", "after": ""},
            "reading is missing; allowed is a value as found, one as left, or both.",
        ),
        ("part", {"quantity": Decimal(0)}, "quantity is 0; allowed is more than 0, at most 9,999."),
        ("part", {"quantity": Decimal(-1)}, "quantity is -1; allowed is more than 0, at most 9,999."),
        ("part", {"quantity": Decimal("9999.99")}, "quantity is 9999.99; allowed is more than 0, at most 9,999."),
        ("part", {"price_each": Decimal(1_000_000)}, "price each is 1000000; allowed is 0 to £999,999.99."),
        ("part", {"price_each": Decimal("-0.01")}, "price each is -0.01; allowed is 0 to £999,999.99."),
    ],
)
def test_a_line_that_says_nothing_is_refused_and_opens_no_card(what, given, sentence):
    change, usual, _ = WRITTEN[what]
    visit, by = jobs.visit_here(), garage.person()
    with refuses(sentence, BadInput):
        change(visit, by=by, now=timezone.now(), **usual | given)
    assert not Card.objects.exists()


@pytest.mark.parametrize("less", [{"before": ""}, {"after": ""}])
@pytest.mark.parametrize("what", ["jet", "reading"])
def test_one_value_of_a_jet_or_a_reading_is_enough(what, less):
    change, usual, _ = WRITTEN[what]
    assert change(jobs.visit_here(), by=garage.person(), now=timezone.now(), **usual | less).what == what


def test_a_part_may_cost_nothing_and_be_less_than_one():
    given = {"words": "Oil", "quantity": Decimal("0.01"), "price_each": Decimal(0)}
    assert cards.part(jobs.visit_here(), by=garage.person(), now=timezone.now(), **given).price_each == 0


def test_a_line_struck_out_is_noted_with_its_words():
    card, now, by = jobs.card(), timezone.now(), garage.person()
    line = jobs.part(card)
    cards.strike(line, by=by, now=now)
    check_noted("struck out on the card: Main jet 98", by=by, at=now, visit=card.visit, line=line.pk)
    line.refresh_from_db()
    assert line.struck_at == now
    with refuses("This line is already struck out."):
        cards.strike(line, by=by, now=now)


def test_causes_and_steps_go_on_the_card_with_who_and_when():
    visit, by, now = jobs.visit_here(), garage.person(), timezone.now()
    kept = {"by": by, "at": now, "visit": visit}
    cards.found_cause(visit, fault="", words="loose earth", by=by, now=now)
    check_noted("cause: loose earth", **kept)
    cards.looked_good(visit, fault="", words="the reeds", by=by, now=now)
    check_noted("checked, OK: the reeds", **kept)
    cards.withdraw(Cause.objects.get(words="loose earth"), by=by, now=now)
    check_noted("withdrawn: loose earth", **kept)
    plug = "bench, Try a known good plug of the right grade and gap, and a good cap: a test only"
    cards.step_good(visit, step="plug", by=by, now=now)
    check_noted(f"{plug}: checked, OK", **kept)
    cards.step_back(BenchOutcome.objects.get(), by=by, now=now)
    check_noted(
        "bench, taken back: Try a known good plug of the right grade and gap, and a good cap: a test only", **kept
    )
    cards.step_was_it(visit, step="plug", fault="ht-side", by=by, now=now)
    check_noted(f"{plug}: this was it, {fault_words('ht-side')}", **kept)
    assert (visit.card.opened_by, visit.card.opened_at) == (by, now)


def test_a_strobe_reading_on_the_card_is_never_typed_twice():
    visit, by = jobs.visit_here(), garage.person()
    typed = {"of": "strobe_idle", "words": "", "unit": "", "rpm": 1200}
    line = cards.reading(visit, **typed, before="25", after="22", by=by, now=timezone.now())
    assert (line.words, line.unit, line.rpm) == ("Timing by strobe at tickover", "degrees BTDC", 1200)
    assert standing(visit)["strobe_idle"].answer == 22.0
    cards.strike(line, by=by, now=timezone.now())
    assert standing(visit)["strobe_idle"].answer == "not-tried"


def test_a_reading_that_cannot_be_is_not_written_on_the_card():
    visit, by = jobs.visit_here(), garage.person()
    typed = {"of": "strobe_idle", "words": "", "unit": "", "rpm": None}
    with pytest.raises(BadInput, match="at how many revs a minute"):
        cards.reading(visit, **typed, before="", after="22", by=by, now=timezone.now())
    assert not CardLine.objects.exists()
    assert standing(visit) == {}


def test_of_several_lines_one_that_is_refused_leaves_none():
    visit, by = jobs.visit_here(), garage.person()

    def noted():
        return cards.note(visit, what=CardLine.NOTE, words="Plug wet", by=by, now=timezone.now())

    assert not cards.all_written([noted, lambda: None])
    assert not Card.objects.exists()
    assert cards.all_written([noted, noted])
    assert CardLine.objects.count() == 2


def a_ride(**given):
    return {"words": "To the quarry: holds back", "rider": "", "insured": "insured by the garage"} | given


def may_be_ridden(**given):
    return jobs.visit_here(gate_at_bench_passed_at=timezone.now(), **given)


@pytest.mark.parametrize(("rider", "said"), [("Jo Harker", "Jo Harker"), ("", "Ada Pike")])
def test_a_test_ride_says_who_rode_and_whose_insurance_it_was(rider, said):
    by, given = garage.person(first_name="Ada", last_name="Pike"), a_ride(rider=rider)
    line = cards.test_ride(may_be_ridden(), by=by, now=timezone.now(), **given)
    assert (line.what, line.words, line.before, line.after) == ("ride", given["words"], said, given["insured"])


def test_a_test_ride_without_a_word_on_its_insurance_is_refused():
    allowed = "insured by the garage, insured by the owner, off the public road"
    with refuses(f"insurance is 'no'; allowed is {allowed}.", BadInput):
        cards.test_ride(may_be_ridden(), by=garage.person(), now=timezone.now(), **a_ride(insured="no"))


def test_nobody_rides_what_has_not_passed_at_the_bench_or_must_not_run():
    for visit, why in (
        (jobs.visit_here(), "has not passed the gate at the bench"),
        (may_be_ridden(must_not_run=["It pinks."]), "must not run. It pinks. Nobody rides it"),
        (may_be_ridden(route=routes.DO_NOT_RUN), "is marked do not run"),
    ):
        with pytest.raises(Refused, match=why):
            cards.test_ride(visit, by=garage.person(), now=timezone.now(), **a_ride())
    assert not CardLine.objects.exists()


def test_what_the_boss_let_through_for_the_rollers_is_not_for_the_road():
    visit, by, second = jobs.visit_here(), garage.person(), garage.person(first_name="Within call")
    visit.machine.kind = garage.machine_kind()
    visit.machine.save()
    gate = gate_ended(visit, by=by, second_id=second.pk, bad=["tyre"])
    gates.override(gate, by=garage.boss(), now=timezone.now(), reason="Sound for one low-speed run in the third.")
    visit.refresh_from_db()
    assert visit.gate_at_bench_passed_at
    with pytest.raises(Refused, match="not for the road: The tyre is not fit"):
        cards.test_ride(visit, by=by, now=timezone.now(), **a_ride())
