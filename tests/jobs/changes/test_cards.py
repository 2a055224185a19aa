from decimal import Decimal

import pytest
from django.utils import timezone

from diagnostics.reads.bank import the_bank
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.visits import Step
from jobs.changes import cards, labour
from jobs.models.cards import Card, CardLine
from tests.factories import garage, jobs

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
    cards.change_of_jet(visit, words="Main jet", before="102", after="98", by=by, now=timezone.now())
    cards.reading(visit, words="Timing at tickover", before="14", after="17", unit="°", by=by, now=timezone.now())
    cards.part(visit, words="Plug cap", quantity=Decimal(1), price_each=Decimal("6.20"), by=by, now=timezone.now())
    assert [line.what for line in visit.card.lines.all()] == ["note", "jet", "reading", "part"]


@pytest.mark.parametrize("quantity", [Decimal(0), Decimal(-1)])
def test_a_part_without_a_quantity_is_refused(quantity):
    with pytest.raises(BadInput, match="quantity"):
        cards.part(
            jobs.visit_here(),
            words="Plug",
            quantity=quantity,
            price_each=Decimal("3.00"),
            by=garage.person(),
            now=timezone.now(),
        )


def test_a_struck_out_line_stays_readable_and_is_not_charged():
    card = jobs.card()
    line = jobs.part(card)
    cards.strike(line, by=card.opened_by, now=timezone.now())
    line.refresh_from_db()
    assert line.struck_at
    assert line.words == "Main jet 98"
    with pytest.raises(Refused, match="already"):
        cards.strike(line, by=card.opened_by, now=timezone.now())


def test_a_card_without_a_cause_is_not_closed():
    card = jobs.card()
    with pytest.raises(Refused, match="nothing wrong"):
        cards.close_with_causes(card.visit, by=card.opened_by, now=timezone.now())
    card.refresh_from_db()
    assert card.closed_at is None


def test_a_card_is_closed_with_its_cause():
    card = jobs.card()
    cards.found_cause(card.visit, fault=a_fault(), words="", by=card.opened_by, now=timezone.now())
    closed = cards.close_with_causes(card.visit, by=card.opened_by, now=timezone.now())
    assert (closed.closed_by, closed.nothing_wrong) == (card.opened_by, False)


def test_a_part_found_good_is_not_a_cause():
    card = jobs.card()
    cards.looked_good(card.visit, fault=a_fault(), words="", by=card.opened_by, now=timezone.now())
    with pytest.raises(Refused):
        cards.close_with_causes(card.visit, by=card.opened_by, now=timezone.now())
    assert cards.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now()).nothing_wrong


def test_a_cause_and_nothing_wrong_do_not_go_together():
    card = jobs.card()
    cards.found_cause(card.visit, fault="", words="loose earth at the frame", by=card.opened_by, now=timezone.now())
    with pytest.raises(Refused, match="withdraw"):
        cards.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now())


def test_a_card_is_not_closed_while_a_clock_runs_on_it():
    card = jobs.card()
    mechanic = garage.person(first_name="Jo")
    clock = labour.start(card.visit, by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="Jo's clock is still running"):
        cards.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now())
    labour.stop(clock, by=mechanic, now=timezone.now())
    assert cards.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now()).closed_at


def test_a_card_is_not_closed_while_its_machine_is_on_the_rollers():
    card = jobs.card()
    step = Step.objects.create(
        visit=card.visit, index=1, at="roller", minutes=90, what="set-up", station=1, began_at=timezone.now()
    )
    with pytest.raises(Refused, match="The set-up is still running at the rollers"):
        cards.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now())
    step.ended_at = timezone.now()
    step.save()
    assert cards.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now()).closed_at


def test_nothing_is_written_on_a_closed_card():
    card = jobs.closed_card()
    line = jobs.part(card)
    for change in (
        lambda: cards.note(card.visit, what=CardLine.WORK, words="more", by=card.opened_by, now=timezone.now()),
        lambda: cards.strike(line, by=card.opened_by, now=timezone.now()),
        lambda: cards.found_cause(card.visit, fault=a_fault(), words="", by=card.opened_by, now=timezone.now()),
        lambda: labour.start(card.visit, by=card.opened_by, now=timezone.now()),
        lambda: cards.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now()),
    ):
        with pytest.raises(Refused, match="is closed"):
            change()


def test_closing_pushes_the_fitted_jets_to_the_machine():
    visit, by = jobs.visit_here(), garage.person()
    visit.machine.fitted = {"needle": "third notch", "main jet": "102"}
    visit.machine.save()
    cards.change_of_jet(visit, words="Main jet", before="102", after="100", by=by, now=timezone.now())
    cards.strike(
        cards.change_of_jet(visit, words="Idle jet", before="50", after="55", by=by, now=timezone.now()),
        by=by,
        now=timezone.now(),
    )
    cards.change_of_jet(visit, words="Main jet", before="100", after="98", by=by, now=timezone.now())
    cards.close_with_nothing_wrong(visit, by=by, now=timezone.now())
    visit.machine.refresh_from_db()
    assert visit.machine.fitted == {"needle": "third notch", "main jet": "98"}
