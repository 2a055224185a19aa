"""Owners with their machines and visits."""

from collections.abc import Collection

from django.db.models import Count, Q, QuerySet

from garage.core import states
from garage.core.duplicates import digits_of
from garage.models.owners import Join, Machine, Owner
from garage.models.trail import TrailRow
from garage.models.visits import Visit

SHOWN = 100
SHOWN_TRAIL = 30


def found(words: str) -> list[Owner]:
    """Owners whose name, mail address, telephone or machine matches the words. Without words, all owners by name."""
    rows = Owner.objects.filter(joined_into=None, erased_at=None).annotate(visit_count=Count("visits", distinct=True))
    rows = rows.prefetch_related("machines")
    for word in words.split():
        by_machine = Owner.objects.filter(_in_machines(word)).values("pk")
        rows = rows.filter(Q(name__icontains=word) | Q(email__icontains=word) | Q(pk__in=by_machine) | _numbers(word))
    return list(rows[:SHOWN])


def every_owner() -> QuerySet[Owner]:
    return Owner.objects.all()


def every_machine() -> QuerySet[Machine]:
    return Machine.objects.all()


def machines_of(owner: Owner) -> QuerySet[Machine]:
    return owner.machines.filter(joined_into=None).select_related("kind")


def wants_no_service(owner: Owner) -> bool:
    """Said under this record, or under one that was joined to it."""
    return bool(owner.no_service_at) or owner.doubles.filter(no_service_at__isnull=False).exists()


def visits_of(owner: Owner) -> QuerySet[Visit]:
    return owner.visits.select_related("machine", "kind").order_by("-booked_at")


def trail_of(owner: Owner) -> QuerySet[TrailRow]:
    return TrailRow.objects.filter(about=f"owner {owner.pk}")[:SHOWN_TRAIL]


def owners_unjoined() -> QuerySet[Owner]:
    return Owner.objects.filter(joined_into=None, erased_at=None).prefetch_related("machines")


def machines_unjoined() -> QuerySet[Machine]:
    return Machine.objects.filter(joined_into=None).select_related("owner").order_by("pk")


def joins() -> QuerySet[Join]:
    """Joinings that can be undone, the newest first."""
    return Join.objects.filter(undone_at=None).select_related("by")[:SHOWN]


def names_of(what: str, ids: Collection[int]) -> dict[int, str]:
    """Names of owners or machines by id, including joined ones."""
    rows = (Owner if what == "owner" else Machine).objects.filter(pk__in=ids)
    return {row.pk: str(row) for row in rows}


def _in_machines(word: str) -> Q:
    return Q(machines__words__icontains=word) | Q(machines__registration__icontains=word)


def _numbers(word: str) -> Q:
    """Finds a whole telephone number however it is spaced, by comparing the last digits."""
    digits = digits_of(word)
    if not digits:
        return Q(telephone__icontains=word)
    return Q(telephone__icontains=word) | Q(telephone__regex=r"\D*".join(digits) + r"\D*$")


def open_numbers(owners: Collection[Owner]) -> str:
    """Visits of theirs that are not over, such as "visits 41, 43"; empty if there are none."""
    rows = Visit.objects.filter(owner__in=owners).exclude(state__in=states.OVER)
    numbers = [str(number) for number in rows.order_by("number").values_list("number", flat=True)]
    return f"visit{'s' if len(numbers) > 1 else ''} {', '.join(numbers)}" if numbers else ""
