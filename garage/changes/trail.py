"""Writes who changed what and when; called by every change, inside its transaction."""

from django.utils import timezone

from garage.models.people import Person
from garage.models.trail import TrailRow
from garage.models.visits import Visit

THE_OWNER = "the owner"
ITSELF = "Tickover itself"


def wrote(
    *, did: str, about: str, by: Person | None = None, by_words: str = "", visit: Visit | None = None, **detail: object
) -> None:
    """did: what happened, in words. by: the person; without one, by_words says who (THE_OWNER or ITSELF)."""
    TrailRow.objects.create(
        at=timezone.now(),
        by=by,
        by_words=by.name if by else by_words or ITSELF,
        visit=visit,
        about=about,
        did=did[:200],
        detail=detail,
    )


def about_visit(visit: Visit, did: str, *, by: Person | None = None, by_words: str = "", **detail: object) -> None:
    wrote(did=did, about=f"visit {visit.number}", by=by, by_words=by_words, visit=visit, **detail)
