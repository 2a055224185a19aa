"""Writes who changed what and when; called by every change, inside its transaction."""

from django.utils import timezone

from garage.models.actors import Actor, actor_words, person_of
from garage.models.trail import TrailRow
from garage.models.visits import Visit


def wrote(*, did: str, about: str, by: Actor, visit: Visit | None = None, **detail: object) -> None:
    """did: what happened, in words. about: as "visit 41", "owner 7", "the shop"."""
    TrailRow.objects.create(
        at=timezone.now(),
        by=person_of(by),
        by_words=actor_words(by),
        visit=visit,
        about=about,
        did=did[:200],
        detail=detail,
    )


def about_visit(visit: Visit, did: str, *, by: Actor, **detail: object) -> None:
    wrote(did=did, about=f"visit {visit.number}", by=by, visit=visit, **detail)
