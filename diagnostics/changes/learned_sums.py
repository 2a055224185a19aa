"""The kept sums of all closed cards, moved by what changed. Call these inside a change that holds the visit's lock: the
lock of the sums is taken last, so two closings wait for each other and neither is lost.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from django.db import transaction

from diagnostics.models.learned_sums import LearnedSums, Taught
from diagnostics.models.unnamed import UnnamedCase
from diagnostics.reads.bank import the_bank
from diagnostics.reads.closed_visits import taught_now, taught_unnamed
from diagnostics.reads.learned_sums import (
    all_taught,
    batches,
    closed_or_taught,
    have_few_cards,
    kept_sums,
    sum_of,
    without_nothing,
)
from garage.changes.day.locks import visit_for_change
from garage.models.visits import Visit

FIRST_COUNT = "being counted"  # instead of an edition: the row that is locked while there are no sums yet


def move(visit: Visit) -> Mapping[str, int] | None:
    """Takes out what the card taught and puts in what it teaches now, which is nothing unless it is closed. None: the
    first count of a garage with many cards is not done yet, and takes this one too.
    """
    kept = for_change()
    return _moved(kept, visit, taught_now([visit.pk])) if kept else None


def leave_unnamed(visit: Visit, case: UnnamedCase) -> None:
    """Nothing but the case is left of the visit: it teaches on instead. Saves it once the sums are there without it."""
    kept = for_change()
    case.save()
    if kept:
        _moved(kept, visit, taught_unnamed([case]))
    else:
        Taught.objects.filter(closing__visit=visit).delete()


def look_through() -> list[int]:
    """Mends what differs from the cards as they are, card by card, and answers with the numbers of those visits.

    The measures of a machine and of a visit's kind may be corrected long after its card was closed.
    """
    if kept_sums() is None:
        return []
    wrong = [visit for visits in batches(closed_or_taught()) for visit in _that_differ(visits)]
    for visit in wrong:
        _move_alone(visit)
    return [visit.number for visit in wrong]


def locked_sums() -> Mapping[str, int] | None:
    kept = for_change()
    return kept.sums if kept else None


def _that_differ(visits: Sequence[int]) -> list[Visit]:
    kept = {row.closing_id: row for row in Taught.objects.filter(closing__visit__in=visits)}
    live = {row.closing_id: row for row in taught_now(visits)}
    wrong = [pk for pk in kept.keys() | live.keys() if not _are_the_same(kept.get(pk), live.get(pk))]
    return list(Visit.objects.filter(closing__in=wrong).order_by("number"))


def _are_the_same(kept: Taught | None, live: Taught | None) -> bool:
    return kept is not None and live is not None and _values(kept) == _values(live)


def _values(row: Taught) -> dict[str, object]:
    return {field.attname: getattr(row, field.attname) for field in Taught._meta.concrete_fields if field.name != "id"}


@transaction.atomic
def _move_alone(visit: Visit) -> None:
    move(visit_for_change(visit))


def for_change() -> LearnedSums | None:
    """Locked. A garage with a few hundred cards or none has them counted at once, and any other by first_count."""
    if kept := locked():
        return kept
    lock_the_first_count()
    if kept := locked():
        return kept
    if not have_few_cards():
        return None
    kept = LearnedSums.objects.create(edition=the_bank().edition)
    _fill(kept)
    return kept


def locked() -> LearnedSums | None:
    return LearnedSums.objects.select_for_update().filter(edition=the_bank().edition).first()


def lock_the_first_count() -> None:
    """Whoever changes a card before the sums are there, and who puts them there, wait for each other."""
    LearnedSums.objects.get_or_create(edition=FIRST_COUNT)
    LearnedSums.objects.select_for_update().get(edition=FIRST_COUNT)


def _fill(kept: LearnedSums) -> None:
    Taught.objects.all().delete()
    sums: Counter[str] = Counter()
    for rows in all_taught():
        Taught.objects.bulk_create(rows)
        sums.update(sum_of(rows))
    saved(kept, sums)


def _moved(kept: LearnedSums, visit: Visit, now_taught: list[Taught]) -> Mapping[str, int]:
    before = list(Taught.objects.filter(closing__visit=visit).select_related("judgement"))
    sums = Counter(kept.sums)
    sums.subtract(sum_of(before))
    sums.update(sum_of(now_taught))
    Taught.objects.filter(pk__in=[row.pk for row in before]).delete()
    Taught.objects.bulk_create(now_taught)
    return saved(kept, sums)


def saved(kept: LearnedSums, sums: Counter[str]) -> Mapping[str, int]:
    named = without_nothing(sums)
    kept.sums = named
    kept.save(update_fields=["sums"])
    return named
