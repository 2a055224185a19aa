"""Until when an owner may move or call off a visit by the personal link without ringing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from garage.core import states
from garage.core.errors import Refused
from garage.core.roller_rule import RollerAct, RollerFacts, stop_for

MOVES_UNTIL = timedelta(hours=24)  # before the agreed time; common practice, no source


@dataclass(frozen=True, slots=True)
class OwnTime:
    """The time an owner would move. is_on_the_rollers: of a roller session; known: of its machine. waits_for_its_owner:
    it is to be put right first, and its owner is asked how.
    """

    starts_at: datetime | None
    is_on_the_rollers: bool
    known: RollerFacts
    waits_for_its_owner: bool = False


def check_owner_may_move(time: OwnTime, now: datetime, telephone: str) -> None:
    """Raises Refused with what to do instead. A slot this close can't be sold again, so the owner has to ring."""
    state, starts_at = time.known.state, time.starts_at
    if state not in states.COMING:
        raise Refused(f"This visit is {states.WORDS[state]}: it can't be moved here. Ring {telephone}.")
    if time.is_on_the_rollers and stop_for(RollerAct.HAVE_TIME, time.known):
        raise Refused(
            "From what we know, it should not be run before the bench has looked at it: there is no roller time to "
            f"choose until then. Ring {telephone} and we find a time for the bench."
        )
    if time.waits_for_its_owner:
        raise Refused("It needs putting right before the rollers: choose how first, then pick a time.")
    if starts_at is None:
        raise Refused(f"This visit has no time to move yet: ring {telephone} and we find one together.")
    if is_late(starts_at, now):
        raise Refused(f"The time is less than a day away: ring {telephone} to move it, or call it off here.")


def is_late(starts_at: datetime, now: datetime) -> bool:
    """Whether calling it off now is late, by the rule that is shown when it is booked: too late to be sold again."""
    return starts_at - now < MOVES_UNTIL


def check_owner_may_call_off(state: str, telephone: str) -> None:
    """Raises Refused once the machine is here or the visit is over. A late call is still better than not coming."""
    if state not in states.COMING:
        raise Refused(f"This visit is {states.WORDS[state]}: it can't be called off here. Ring {telephone}.")
