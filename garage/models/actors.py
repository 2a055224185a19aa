"""Who acts: a person of the workshop, the owner, or the system itself. Every change is told which."""

from __future__ import annotations

from enum import Enum

from garage.models.people import Person


class Unnamed(Enum):
    """Who acts without a log-in; the value is what the trail says."""

    OWNER = "the owner"  # on the booking pages or by the personal link
    SYSTEM = "Tickover itself"


OWNER, SYSTEM = Unnamed.OWNER, Unnamed.SYSTEM

Actor = Person | Unnamed


def actor_words(actor: Actor) -> str:
    """The name as the trail keeps it, whatever becomes of the log-in."""
    return actor.name if isinstance(actor, Person) else actor.value


def person_of(actor: Actor) -> Person | None:
    """The log-in behind the actor; None where there is none."""
    return actor if isinstance(actor, Person) else None
