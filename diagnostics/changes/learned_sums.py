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
from diagnostics.reads.learned_sums import all_taught, batches, closed_or_taught, kept_sums, sum_of, without_nothing
from garage.changes.day.locks import visit_for_change
from garage.models.visits import Visit


def move(visit: Visit) -> Mapping[str, int]:
    """Takes out what the card taught and puts in what it teaches now, which is nothing unless it is closed."""
    return _moved(_for_change(), visit, taught_now([visit.pk]))


def leave_unnamed(visit: Visit, case: UnnamedCase) -> None:
    """Nothing but the case is left of the visit: it teaches on instead. Saves it once the sums are there without it."""
    sums = _for_change()
    case.save()
    _moved(sums, visit, taught_unnamed([case]))


def count_anew() -> Mapping[str, int]:
    """Every closed card, by the bank as it is: at the first count by its edition, and where the sums were wrong."""
    sums, _ = _locked()
    return _fill(sums)


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


def locked_sums() -> Mapping[str, int]:
    sums: Mapping[str, int] = _for_change().sums
    return sums


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


def _for_change() -> LearnedSums:
    sums, is_new = _locked()
    if is_new:
        _fill(sums)
    return sums


def _locked() -> tuple[LearnedSums, bool]:
    _, is_new = LearnedSums.objects.get_or_create(edition=the_bank().edition)
    return LearnedSums.objects.select_for_update().get(edition=the_bank().edition), is_new


def _fill(kept: LearnedSums) -> Mapping[str, int]:
    Taught.objects.all().delete()
    sums: Counter[str] = Counter()
    for rows in all_taught():
        Taught.objects.bulk_create(rows)
        sums.update(sum_of(rows))
    return _saved(kept, sums)


def _moved(kept: LearnedSums, visit: Visit, now_taught: list[Taught]) -> Mapping[str, int]:
    before = list(Taught.objects.filter(closing__visit=visit).select_related("judgement"))
    sums = Counter(kept.sums)
    sums.subtract(sum_of(before))
    sums.update(sum_of(now_taught))
    Taught.objects.filter(pk__in=[row.pk for row in before]).delete()
    Taught.objects.bulk_create(now_taught)
    return _saved(kept, sums)


def _saved(kept: LearnedSums, sums: Counter[str]) -> Mapping[str, int]:
    named = without_nothing(sums)
    kept.sums = named
    kept.save(update_fields=["sums"])
    return named
