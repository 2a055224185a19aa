"""The first count of all closed cards: read without a lock, written piece by piece, then made good by what changed
meanwhile. Nobody who closes a card or books a time waits for more than one piece of it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from django.db import IntegrityError, transaction

from diagnostics.changes.learned_sums import lock_the_first_count, saved
from diagnostics.models.learned_sums import LearnedSums, Taught
from diagnostics.models.unnamed import UnnamedCase
from diagnostics.reads.bank import the_bank
from diagnostics.reads.closed_visits import taught_now, taught_unnamed
from diagnostics.reads.learned_sums import all_taught, sum_of
from diagnostics.reads.learning import named_closings


def count_anew() -> Mapping[str, int] | None:
    """By the bank as it is. None if a card of those counted went meanwhile, or somebody else counts: it is to be done
    once more.

    Until the sums are there, closings leave them alone. A card that was altered after it was read is found by
    learned_sums.look_through.
    """
    _begin()
    sums: Counter[str] = Counter()
    written: set[int] = set()
    for rows in all_taught():
        try:
            with transaction.atomic():
                made = Taught.objects.bulk_create(rows)
        except IntegrityError:
            return None
        written.update(row.pk for row in made)
        sums.update(sum_of(rows))
    return _put_there(sums, written)


@transaction.atomic
def _begin() -> None:
    lock_the_first_count()
    LearnedSums.objects.filter(edition=the_bank().edition).delete()
    Taught.objects.all().delete()


@transaction.atomic
def _put_there(sums: Counter[str], written: set[int]) -> Mapping[str, int] | None:
    """From its commit on each closing moves them."""
    lock_the_first_count()
    if written != set(Taught.objects.order_by().values_list("pk", flat=True)):
        return None
    standing = named_closings().order_by()
    gone = Taught.objects.filter(closing__isnull=False).exclude(closing__in=standing.values("pk"))
    sums.subtract(sum_of(gone.select_related("judgement")))
    gone.delete()
    new = taught_now(list(standing.filter(taught=None).values_list("visit", flat=True)))
    new += taught_unnamed(UnnamedCase.objects.filter(taught=None))
    Taught.objects.bulk_create(new)
    sums.update(sum_of(new))
    return saved(LearnedSums.objects.create(edition=the_bank().edition), sums)
