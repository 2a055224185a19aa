"""Writes who changed what and when. Every change calls it inside its transaction."""

from datetime import datetime

from garage.models.actors import Actor, actor_words, person_of
from garage.models.trail import TrailRow
from garage.models.visits import Visit


def wrote(*, did: str, about: str, by: Actor, now: datetime, visit: Visit | None = None, **detail: object) -> None:
    """did: what happened, in words. about: as "visit 41", "owner 7", "the shop"."""
    TrailRow.objects.create(
        at=now,
        by=person_of(by),
        by_words=actor_words(by),
        visit=visit,
        about=about,
        did=did[:200],
        detail=detail,
    )


def about_visit(visit: Visit, did: str, *, by: Actor, now: datetime, **detail: object) -> None:
    wrote(did=did, about=f"visit {visit.number}", by=by, now=now, visit=visit, **detail)
