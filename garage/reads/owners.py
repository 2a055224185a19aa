"""Owners with their machines and visits, and which of them may be doubles."""

from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet
from django.http import Http404

from garage.core.duplicates import Contact, Likely, digits_of, likely_doubles
from garage.models.owners import Join, Machine, Owner
from garage.models.trail import TrailRow
from garage.models.visits import Visit

SHOWN = 100
SHOWN_TRAIL = 30


@dataclass(frozen=True)
class LikelyOwners:
    """Owners that may be one, with what they share in words."""

    owners: list[Owner]
    shared: str


@dataclass(frozen=True)
class LikelyMachines:
    """Machines of one owner that are called alike."""

    owner: Owner
    machines: list[Machine]


def found(words: str) -> list[Owner]:
    """Owners whose name, mail address, telephone or machine holds the words; all by name when there are none."""
    rows = Owner.objects.filter(joined_into=None).annotate(visit_count=Count("visits", distinct=True))
    rows = rows.prefetch_related("machines")
    for word in words.split():
        by_machine = Owner.objects.filter(_in_machines(word)).values("pk")
        rows = rows.filter(Q(name__icontains=word) | Q(email__icontains=word) | Q(pk__in=by_machine) | _numbers(word))
    return list(rows[:SHOWN])


def every_owner() -> QuerySet[Owner]:
    return Owner.objects.all()


def every_machine() -> QuerySet[Machine]:
    return Machine.objects.all()


def owner(owner_id: int) -> Owner:
    try:
        return Owner.objects.select_related("joined_into").get(pk=owner_id)
    except Owner.DoesNotExist as error:
        raise Http404 from error


def machine(machine_id: int) -> Machine:
    try:
        return Machine.objects.select_related("owner", "kind").get(pk=machine_id)
    except Machine.DoesNotExist as error:
        raise Http404 from error


def machines_of(owner: Owner) -> QuerySet[Machine]:
    return owner.machines.filter(joined_into=None).select_related("kind")


def visits_of(owner: Owner) -> QuerySet[Visit]:
    return owner.visits.select_related("machine", "kind").order_by("-booked_at")


def trail_of(owner: Owner) -> QuerySet[TrailRow]:
    return TrailRow.objects.filter(about=f"owner {owner.pk}")[:SHOWN_TRAIL]


def doubles() -> list[LikelyOwners]:
    rows = {row.pk: row for row in Owner.objects.filter(joined_into=None).prefetch_related("machines")}
    groups = likely_doubles(Contact(row.pk, row.name, row.email, row.telephone) for row in rows.values())
    return [LikelyOwners([rows[pk] for pk in group.ids], _shared_words(group)) for group in groups]


def machine_doubles() -> list[LikelyMachines]:
    """Machines of one owner with the same words or registration."""
    by_sign: dict[tuple[int, str], list[Machine]] = {}
    for row in Machine.objects.filter(joined_into=None).select_related("owner").order_by("pk"):
        by_sign.setdefault((row.owner_id, "".join(row.words.casefold().split())), []).append(row)
    return [LikelyMachines(rows[0].owner, rows) for rows in by_sign.values() if len(rows) > 1]


def joins() -> list[Join]:
    """What was joined and can be undone, the newest first, with the names of both records."""
    rows = list(Join.objects.filter(undone_at=None).select_related("by")[:SHOWN])
    names = {
        what: {row.pk: str(row) for row in model.objects.filter(pk__in=_ids_of(rows, what))}
        for what, model in (("owner", Owner), ("machine", Machine))
    }
    for row in rows:
        row.kept_words, row.joined_words = (names[row.what].get(pk, "?") for pk in (row.kept_id, row.joined_id))
    return rows


def join(join_id: int) -> Join:
    try:
        return Join.objects.get(pk=join_id)
    except Join.DoesNotExist as error:
        raise Http404 from error


def _ids_of(rows: list[Join], what: str) -> set[int]:
    return {pk for row in rows if row.what == what for pk in (row.kept_id, row.joined_id)}


def _in_machines(word: str) -> Q:
    return Q(machines__words__icontains=word) | Q(machines__registration__icontains=word)


def _numbers(word: str) -> Q:
    """A whole telephone number is found however it is spaced; the last digits are compared."""
    digits = digits_of(word)
    if not digits:
        return Q(telephone__icontains=word)
    return Q(telephone__icontains=word) | Q(telephone__regex=r"\D*".join(digits) + r"\D*$")


def _shared_words(group: Likely) -> str:
    return " and ".join(group.shared)
