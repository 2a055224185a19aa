"""Who acts: a person of the workshop, the owner, or the system itself. Every change is given its actor."""

from __future__ import annotations

from enum import Enum

from garage.models.people import Person


class Unnamed(Enum):
    """An actor without a log-in. The value is the name in the trail."""

    OWNER = "the owner"  # on the booking pages or by the personal link
    SYSTEM = "Tickover itself"
    STRANGER = "somebody at the log-in page"  # who has not proved who they are


OWNER, SYSTEM, STRANGER = Unnamed.OWNER, Unnamed.SYSTEM, Unnamed.STRANGER

Actor = Person | Unnamed


def actor_words(actor: Actor) -> str:
    """The name for the trail, which outlives the log-in."""
    return actor.name if isinstance(actor, Person) else actor.value


def person_of(actor: Actor) -> Person | None:
    """The log-in behind the actor, or None."""
    return actor if isinstance(actor, Person) else None
