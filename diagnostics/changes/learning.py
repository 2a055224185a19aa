"""Learning from closed cards: each closing, correction or come-back moves what all of them add up to."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from diagnostics.changes import first_count, learned_sums
from diagnostics.core.learning.kept_figures import counts_from
from diagnostics.models.learning import Closing, ComeBack, Learned, Reopening
from diagnostics.reads.bank import the_bank
from diagnostics.reads.learned_sums import kept_sums
from diagnostics.reads.learning import counts_now
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.visits import Visit


@transaction.atomic
def card_closed(visit: Visit, *, by: Person, now: datetime) -> None:
    """The card names the causes, or that nothing was wrong. The new counts apply to later judgements only."""
    visit = visit_for_change(visit)
    closing, _ = Closing.objects.get_or_create(visit=visit, defaults={"at": now, "by": by})
    closing.reopenings.filter(closed_again_at=None).update(closed_again_at=now)
    count_again(visit, now=now)


@transaction.atomic
def card_reopened(visit: Visit, *, by: Person, now: datetime) -> None:
    """Nothing is learned from the card until it is closed again."""
    visit = visit_for_change(visit)
    closing = Closing.objects.filter(visit=visit).first()
    if closing is not None:
        Reopening.objects.create(closing=closing, at=now, by=by)
        count_again(visit, now=now)


@transaction.atomic
def came_back(visit: Visit, *, by: Person, now: datetime) -> None:
    """The machine of a closed visit returned with the same trouble, so its card no longer counts towards learning."""
    visit = visit_for_change(visit)
    closing = Closing.objects.filter(visit=visit).first()
    if closing is None:
        raise Refused(f"The card of visit {visit.number} is not closed: nothing was learned from it.")
    if _standing(closing):
        raise Refused(f"Visit {visit.number} is already marked as a come-back.")
    ComeBack.objects.create(closing=closing, at=now, by=by)
    trail.about_visit(visit, "came back with the same trouble: its card is no longer learned from", by=by, now=now)
    count_again(visit, now=now)


@transaction.atomic
def did_not_come_back(visit: Visit, *, by: Person, now: datetime) -> None:
    """The mark was wrong: the card counts again, exactly as if it had never been marked. The row is kept."""
    visit = visit_for_change(visit)
    come_back = _standing(Closing.objects.filter(visit=visit).first())
    if come_back is None:
        raise Refused(f"Visit {visit.number} is not marked as a come-back.")
    come_back.withdrawn_at, come_back.withdrawn_by = now, by
    come_back.save(update_fields=["withdrawn_at", "withdrawn_by"])
    trail.about_visit(
        visit, "did not come back with the same trouble after all: its card is learned from again", by=by, now=now
    )
    count_again(visit, now=now)


def _standing(closing: Closing | None) -> ComeBack | None:
    return ComeBack.objects.filter(closing=closing, withdrawn_at=None).first()


def count_by_a_new_bank(*, now: datetime) -> Learned | None:
    """After an upgrade: what the closed cards teach with the new edition, so that nothing learned is lost with the old
    one. None if there is nothing to do.
    """
    newest = Learned.objects.first()
    if newest is None or (newest.edition == the_bank().edition and kept_sums() is not None):
        return None
    count_all_anew(now=now)
    look_through(now=now)
    return counts_now()


@transaction.atomic
def count_again(visit: Visit, *, now: datetime) -> Learned | None:
    """Something of the visit's card has changed; its lock is held."""
    return _learned(learned_sums.move(visit), now=now)


def count_all_anew(*, now: datetime) -> Learned | None:
    """Every closed card. None if no card was ever closed. In no transaction: it takes as long as there are cards."""
    first_count.count_anew()
    return _learned_by_now(now=now)


def look_through(*, now: datetime) -> list[int]:
    """Every closed card beside what is kept of it. Answers with the numbers of the visits that were put right."""
    numbers = learned_sums.look_through()
    if numbers:
        _learned_by_now(now=now)
    return numbers


@transaction.atomic
def _learned_by_now(*, now: datetime) -> Learned | None:
    return _learned(learned_sums.locked_sums(), now=now)


def _learned(sums: Mapping[str, int] | None, *, now: datetime) -> Learned | None:
    """A new row if the counts have changed. sums: None while they are first counted."""
    before = counts_now()
    if sums is None or (not sums and before is None):
        return before
    counts = counts_from(the_bank(), sums)
    found = (dict(counts.times), dict(counts.chances), counts.learned, counts.not_learned)
    if before and (before.times, before.chances, before.learned, before.not_learned) == found:
        return before
    return Learned.objects.create(
        at=now,
        edition=counts.edition,
        times=dict(counts.times),
        chances=dict(counts.chances),
        learned=counts.learned,
        not_learned=counts.not_learned,
    )
