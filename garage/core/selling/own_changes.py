"""Until when an owner may move or call off a visit by the personal link without ringing."""

from __future__ import annotations

from datetime import datetime, timedelta

from garage.core import states
from garage.core.errors import Refused

MOVES_UNTIL = timedelta(hours=24)  # before the agreed time; common practice, no source


def check_owner_may_move(state: str, starts_at: datetime | None, now: datetime, telephone: str) -> None:
    """Raises Refused with what to do instead. A slot this close can't be sold again, so the owner has to ring."""
    if state not in states.COMING:
        raise Refused(f"This visit is {states.WORDS[state]}: it can't be moved here. Ring {telephone}.")
    if starts_at is None:
        raise Refused(f"This visit has no time to move yet: ring {telephone} and we find one together.")
    if starts_at - now < MOVES_UNTIL:
        raise Refused(f"The time is less than a day away: ring {telephone} to move it, or call it off here.")


def check_owner_may_call_off(state: str, telephone: str) -> None:
    """Raises Refused once the machine is here or the visit is over. A late call is still better than not coming."""
    if state not in states.COMING:
        raise Refused(f"This visit is {states.WORDS[state]}: it can't be called off here. Ring {telephone}.")
