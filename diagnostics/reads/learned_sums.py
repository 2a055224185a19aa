"""What all closed cards add up to: as it is kept, and counted anew."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from django.db.models import Count, F, Max

from diagnostics.core.learning.sums import adds
from diagnostics.models.learned_sums import LearnedSums, Taught
from diagnostics.models.learning import Closing
from diagnostics.models.unnamed import UnnamedCase
from diagnostics.reads.bank import the_bank
from diagnostics.reads.closed_visits import taught_now, taught_unnamed, visit_of
from diagnostics.reads.learning import named_closings

AT_ONCE = 500  # visits with their judgements in memory, some 10 kB each


def kept_sums() -> Mapping[str, int] | None:
    """None: not yet counted by this edition of the bank."""
    sums: Mapping[str, int] | None = (
        LearnedSums.objects.filter(edition=the_bank().edition).values_list("sums", flat=True).first()
    )
    return sums


def sum_of(rows: Iterable[Taught]) -> Counter[str]:
    sums: Counter[str] = Counter()
    for row in rows:
        sums.update(adds(the_bank(), visit_of(row), row.story))
    return sums


def have_few_cards() -> bool:
    """Few enough to be counted while others wait."""
    named = named_closings().order_by().values("pk")[: AT_ONCE + 1]
    return len(named) + len(UnnamedCase.objects.values("pk")[: AT_ONCE + 1]) <= AT_ONCE


def all_taught() -> Iterator[list[Taught]]:
    """What every closed card teaches as it is now, unsaved, some hundred at once."""
    for visits in batches(list(named_closings().values_list("visit", flat=True))):
        yield taught_now(visits)
    for cases in batches(list(UnnamedCase.objects.values_list("pk", flat=True))):
        yield taught_unnamed(UnnamedCase.objects.filter(pk__in=cases))


def closed_or_taught() -> list[int]:
    """Visits whose card is closed, or stands in the sums."""
    taught = Closing.objects.filter(taught__isnull=False).order_by().values("visit")
    return list(named_closings().order_by().values("visit").union(taught).values_list("visit", flat=True))


def batches(those: Sequence[int]) -> Iterator[Sequence[int]]:
    for start in range(0, len(those), AT_ONCE):
        yield those[start : start + AT_ONCE]


def sums_anew() -> dict[str, int]:
    """From every closed card as it is now."""
    sums: Counter[str] = Counter()
    for rows in all_taught():
        sums.update(sum_of(rows))
    return without_nothing(sums)


def without_nothing(sums: Counter[str]) -> dict[str, int]:
    """A name that no card has any more goes, so that equal cards have equal sums."""
    return {name: total for name, total in sorted(sums.items()) if total}


def not_learned_cards(most: int) -> list[tuple[int, str]]:
    """The newest that are kept without being learned from: number of the visit, and why."""
    rows = Taught.objects.exclude(why_not="").filter(closing__isnull=False)
    return list(rows.order_by("-closing__at", "-closing_id").values_list("closing__visit__number", "why_not")[:most])


def whys_not_learned() -> Counter[str]:
    """Every reason with its cards, that of the newest card first; those without a name are the oldest."""
    rows = Taught.objects.exclude(why_not="").values("why_not").annotate(many=Count("pk"))
    newest = (F("named").desc(nulls_last=True), F("closed").desc(nulls_last=True), F("case").desc())
    rows = rows.annotate(named=Max("closing__at"), closed=Max("closing"), case=Max("unnamed")).order_by(*newest)
    return Counter(dict(rows.values_list("why_not", "many")))
