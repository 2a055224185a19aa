from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.models.learning import Closing, Learned
from diagnostics.reads.bank import the_bank
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.trail import TrailRow
from garage.models.visits import Step
from jobs.changes import cards, closing, invoices, labour
from jobs.models.cards import Card
from tests.factories import garage, jobs
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


def a_fault() -> str:
    return the_bank().faults[0].id


def planned(card: Card, *, begun: bool) -> Step:
    """The booked session as a step of the card's visit."""
    began_at = timezone.now() - timedelta(minutes=90) if begun else None
    return Step.objects.create(
        visit=card.visit,
        index=1,
        at="roller",
        minutes=90,
        what="set-up",
        station=1 if begun else None,
        began_at=began_at,
        ended_at=timezone.now() if begun else None,
    )


def test_a_card_without_a_cause_is_not_closed():
    card = jobs.card()
    with pytest.raises(Refused, match="nothing wrong"):
        closing.close_with_causes(card.visit, by=card.opened_by, now=timezone.now())
    card.refresh_from_db()
    assert card.closed_at is None


def test_a_card_is_closed_with_its_cause():
    card = jobs.card()
    cards.found_cause(card.visit, fault=a_fault(), words="", by=card.opened_by, now=timezone.now())
    closed = closing.close_with_causes(card.visit, by=card.opened_by, now=timezone.now())
    assert (closed.closed_by, closed.nothing_wrong) == (card.opened_by, False)


def test_a_part_found_good_is_not_a_cause():
    card = jobs.card()
    cards.looked_good(card.visit, fault=a_fault(), words="", by=card.opened_by, now=timezone.now())
    with pytest.raises(Refused):
        closing.close_with_causes(card.visit, by=card.opened_by, now=timezone.now())
    assert closing.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now()).nothing_wrong


def test_a_cause_and_nothing_wrong_do_not_go_together():
    card = jobs.card()
    cards.found_cause(card.visit, fault="", words="loose earth at the frame", by=card.opened_by, now=timezone.now())
    with pytest.raises(Refused, match="withdraw"):
        closing.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now())


def test_a_card_is_not_closed_while_its_machine_is_on_the_rollers():
    card = jobs.card()
    step = Step.objects.create(
        visit=card.visit, index=1, at="roller", minutes=90, what="set-up", station=1, began_at=timezone.now()
    )
    with pytest.raises(Refused, match="The set-up is still running at the rollers"):
        closing.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now())
    step.ended_at = timezone.now()
    step.save()
    assert closing.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now()).closed_at


def test_closing_pushes_the_fitted_jets_to_the_machine():
    visit, by = jobs.visit_here(), garage.person()
    visit.machine.fitted = {"needle": "third notch", "main jet": "98"}
    visit.machine.save()
    in_by = {"pulled_clean": False, "by": by, "now": timezone.now()}
    cards.change_of_jet(visit, words="Main jet", before="98", after="100", **in_by)
    cards.strike(
        cards.change_of_jet(visit, words="Idle jet", before="50", after="55", **in_by), by=by, now=timezone.now()
    )
    cards.change_of_jet(visit, words="Main jet", before="100", after="102", **in_by)
    closing.close_with_nothing_wrong(visit, by=by, now=timezone.now())
    visit.machine.refresh_from_db()
    assert visit.machine.fitted == {"needle": "third notch", "main jet": "102"}


def forgotten(card: Card, *, minutes: int) -> int:
    """A clock of Jo's that has run for so long. Its id."""
    jo = garage.person(first_name="Jo")
    return labour.start(card.visit, by=jo, now=timezone.now() - timedelta(minutes=minutes, seconds=5)).pk


def test_a_clock_that_still_runs_is_asked_about_before_the_card_is_closed() -> None:
    card = jobs.card()
    clock = forgotten(card, minutes=200)
    with pytest.raises(Refused, match="Jo's clock is still running on this card: say how many minutes were worked"):
        closing.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now())
    card.refresh_from_db()
    assert card.closed_at is None
    closing.close_with_nothing_wrong(card.visit, worked_min={clock: 45}, by=card.opened_by, now=timezone.now())
    kept = card.labour.get()
    assert kept.ended_at is not None
    assert kept.ended_at - kept.began_at == timedelta(minutes=45)


@pytest.mark.parametrize(("minutes", "said"), [(0, "1 to 200"), (201, "1 to 200"), (-5, "1 to 200")])
def test_a_forgotten_clock_is_never_charged_as_nothing_nor_as_more_than_it_shows(minutes: int, said: str) -> None:
    card = jobs.card()
    clock = forgotten(card, minutes=200)
    with pytest.raises(BadInput, match=rf"Minutes worked by Jo .*{said}, what the clock shows"):
        closing.close_with_nothing_wrong(card.visit, worked_min={clock: minutes}, by=card.opened_by, now=timezone.now())
    card.refresh_from_db()
    assert (card.closed_at, card.labour.get().ended_at) == (None, None)


def test_all_minutes_of_a_forgotten_clock_may_have_been_worked() -> None:
    card = jobs.card()
    clock = forgotten(card, minutes=200)
    closing.close_with_nothing_wrong(card.visit, worked_min={clock: 200}, by=card.opened_by, now=timezone.now())
    assert "put Jo" not in " ".join(TrailRow.objects.values_list("did", flat=True))


def test_a_card_whose_session_has_not_begun_is_not_closed_with_nothing_wrong() -> None:
    card = jobs.card()
    step = planned(card, begun=False)
    with pytest.raises(Refused, match=r"The set-up of visit \d+ has not begun: begin it on the day sheet, or say"):
        closing.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now())
    with pytest.raises(Refused, match="has not begun"):
        closing.close_with_causes(card.visit, by=card.opened_by, now=timezone.now())
    Step.objects.filter(pk=step.pk).update(began_at=timezone.now(), ended_at=timezone.now(), station=1)
    assert closing.close_with_nothing_wrong(card.visit, by=card.opened_by, now=timezone.now()).nothing_wrong


def test_a_card_whose_session_was_kept_off_the_rollers_by_a_fault_is_closed_with_it() -> None:
    card = jobs.card()
    planned(card, begun=False)
    cards.found_cause(card.visit, fault=a_fault(), words="", by=card.opened_by, now=timezone.now())
    assert closing.close_with_causes(card.visit, by=card.opened_by, now=timezone.now()).closed_at


def closed(causes: Mapping[str, str] = {"fault": "", "words": "loose earth"}) -> Card:
    card = jobs.card()
    planned(card, begun=True)
    cards.found_cause(card.visit, **causes, by=card.opened_by, now=timezone.now())
    return closing.close_with_causes(card.visit, by=card.opened_by, now=timezone.now())


def test_the_boss_reopens_a_closed_card_with_a_reason_and_it_is_closed_again() -> None:
    card, boss = closed(), garage.boss()
    reopened = closing.reopen(card.visit, reason=" The plug cap was not written down. ", by=boss, now=timezone.now())
    assert (reopened.closed_at, reopened.closed_by) == (None, None)
    trail = TrailRow.objects.filter(visit=card.visit).values_list("by", "did")
    assert (boss.pk, "reopened the card: The plug cap was not written down.") in trail
    cards.found_cause(card.visit, fault=a_fault(), words="", by=boss, now=timezone.now())
    assert closing.close_with_causes(card.visit, by=boss, now=timezone.now()).closed_by == boss


def test_nothing_is_learned_from_a_reopened_card_until_it_is_closed_again() -> None:
    card, boss = closed({"fault": a_fault(), "words": ""}), garage.boss()
    assert Learned.objects.first().learned == 1
    closing.reopen(card.visit, reason="One part is missing.", by=boss, now=timezone.now())
    assert Learned.objects.first().learned == 0
    closing.close_with_causes(card.visit, by=boss, now=timezone.now())
    assert Learned.objects.first().learned == 1


def test_a_card_is_reopened_as_often_as_it_is_needed() -> None:
    card, boss = closed({"fault": a_fault(), "words": ""}), garage.boss()
    for _ in range(2):
        closing.reopen(card.visit, reason="One part is missing.", by=boss, now=timezone.now())
        assert Learned.objects.first().learned == 0
        closing.close_with_causes(card.visit, by=boss, now=timezone.now())
        assert Learned.objects.first().learned == 1


def test_only_the_boss_reopens_a_card() -> None:
    card = closed()
    with pytest.raises(Refused, match="Only the boss can reopen a closed card"):
        closing.reopen(card.visit, reason="More was done.", by=garage.person(), now=timezone.now())


def test_a_card_that_is_open_is_not_reopened() -> None:
    card = jobs.card()
    with pytest.raises(Refused, match=rf"The card of visit {card.visit.number} is not closed"):
        closing.reopen(card.visit, reason="More was done.", by=garage.boss(), now=timezone.now())


@pytest.mark.parametrize(("reason", "said"), [(" ", "why the card is reopened"), ("x" * 201, "at most 200 characters")])
def test_a_card_is_reopened_with_a_reason_that_can_be_read(reason: str, said: str) -> None:
    card = closed()
    with pytest.raises(BadInput, match=said):
        closing.reopen(card.visit, reason=reason, by=garage.boss(), now=timezone.now())
    card.refresh_from_db()
    assert card.closed_at is not None


def test_an_invoiced_card_stays_closed() -> None:
    card, boss = closed(), garage.boss()
    invoice = invoices.issue(card.visit, by=boss, now=timezone.now())
    with pytest.raises(Refused, match=rf"has invoice {invoice.number}, so its card stays closed"):
        closing.reopen(card.visit, reason="More was done.", by=boss, now=timezone.now())
    card.refresh_from_db()
    assert card.closed_at is not None


def test_the_closing_of_a_card_is_kept_noted_and_learned_from():
    card, by, now = jobs.card(), garage.boss(), timezone.now()
    cards.change_of_jet(card.visit, words="Main jet", before="98", after="102", pulled_clean=False, by=by, now=now)
    cards.change_of_jet(card.visit, words="Idle jet", before="50", after="", pulled_clean=False, by=by, now=now)
    closing.close_with_nothing_wrong(card.visit, by=by, now=now)
    check_noted('closed the card: "nothing wrong"', by=by, at=now, visit=card.visit)
    card.refresh_from_db()
    assert (card.closed_at, card.closed_by, card.nothing_wrong) == (now, by, True)
    learned = Closing.objects.get()
    assert (learned.visit, learned.at, learned.by) == (card.visit, now, by)
    fitted = TrailRow.objects.get(did="fitted to the machine now: main jet 102")
    assert (fitted.by, fitted.at) == (by, now)


def test_a_card_closed_with_causes_says_no_more():
    card, by, now = jobs.card(), garage.boss(), timezone.now()
    cards.found_cause(card.visit, fault="", words="loose earth", by=by, now=now)
    closing.close_with_causes(card.visit, by=by, now=now)
    check_noted("closed the card", by=by, at=now, visit=card.visit)
    card.refresh_from_db()
    assert (card.closed_at, card.closed_by, card.nothing_wrong) == (now, by, False)


def test_each_refusal_about_a_card_says_what_to_do_first():
    by, now = garage.person(first_name="Jo"), timezone.now()
    visit = jobs.visit_here(state=states.BOOKED)
    with refuses(f"Visit {visit.number} is booked: take the machine in, then its card can be opened."):
        closing.close_with_causes(visit, by=by, now=now)
    card = jobs.card()
    with refuses('A card needs a cause or "nothing wrong" before it can be closed.'):
        closing.close_with_causes(card.visit, by=by, now=now)
    clock = labour.start(card.visit, by=by, now=now)
    with refuses("Jo's clock is still running on this card: say how many minutes were worked."):
        closing.close_with_nothing_wrong(card.visit, by=by, now=now)
    labour.stop(clock, by=by, now=now)
    given = {"at": "roller", "minutes": 90, "what": "set-up", "station": 1, "began_at": now}
    Step.objects.create(visit=card.visit, index=1, **given)
    with refuses("The set-up is still running at the rollers: end it, then close the card."):
        closing.close_with_nothing_wrong(card.visit, by=by, now=now)
    Step.objects.all().delete()
    cards.found_cause(card.visit, fault="", words="loose earth", by=by, now=now)
    with refuses('This card has a cause: close it with that, or withdraw it before "nothing wrong".'):
        closing.close_with_nothing_wrong(card.visit, by=by, now=now)
    closing.close_with_causes(card.visit, by=by, now=now)
    with refuses(f"The card of visit {card.visit.number} is closed: what is on it stays."):
        closing.close_with_causes(card.visit, by=by, now=now)
