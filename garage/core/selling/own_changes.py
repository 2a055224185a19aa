"""Until when an owner may move or call off a visit by the personal link without ringing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from garage.core import states
from garage.core.errors import Refused
from garage.core.roller_rule import RollerAct, RollerFacts, stop_for
from garage.core.text.languages import told

LATE_HOURS = 24  # before the agreed time, unless the shop has set another; common practice, no source
MOST_LATE_HOURS = 14 * 24  # more is a typing mistake
MOST_MOVES = 3  # in MOVES_WITHIN, by the link: each is a mail and frees a time; common practice, no source
MOVES_WITHIN = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class OwnTime:
    """The time an owner would move. is_on_the_rollers: of a roller session; known: of its machine. late_hours: the
    shop's, as for is_late. waits_for_its_owner: it is to be put right first, and its owner is asked how.
    """

    starts_at: datetime | None
    is_on_the_rollers: bool
    known: RollerFacts
    late_hours: int
    waits_for_its_owner: bool = False


def check_owner_may_move(time: OwnTime, now: datetime, telephone: str) -> None:
    """Raises Refused with what to do instead. A slot this close can't be sold again, so the owner has to ring."""
    state, starts_at = time.known.state, time.starts_at
    if state not in states.COMING:
        words = told(states.WORDS[state])
        raise Refused(
            told("This visit is {state}: it can't be moved here. Ring {telephone}.", state=words, telephone=telephone)
        )
    if time.is_on_the_rollers and stop_for(RollerAct.HAVE_TIME, time.known):
        raise Refused(
            told(
                "From what we know, it should not be run before the bench has looked at it: there is no roller time to "
                "choose until then. Ring {telephone} and we find a time for the bench.",
                telephone=telephone,
            )
        )
    if time.waits_for_its_owner:
        raise Refused(told("It needs putting right before the rollers: choose how first, then pick a time."))
    if starts_at is None:
        raise Refused(
            told("This visit has no time to move yet: ring {telephone} and we find one together.", telephone=telephone)
        )
    if is_late(starts_at, now, time.late_hours):
        away = late_words(time.late_hours)
        raise Refused(
            told(
                "The time is less than {away} away: ring {telephone} to move it, or call it off here.",
                away=away,
                telephone=telephone,
            )
        )


def is_late(starts_at: datetime, now: datetime, late_hours: int) -> bool:
    """Whether calling it off now is late, by the shop's rule that booking shows: too late to be sold again.

    late_hours: before the agreed time, above 0.
    """
    return starts_at - now < timedelta(hours=late_hours)


def late_words(hours: int) -> str:
    """As in "less than a day before".

    >>> [late_words(hours) for hours in (1, 24, 36, 48)]
    ['an hour', 'a day', '36 hours', '2 days']
    """
    days, rest = divmod(hours, 24)
    if rest:
        return told("an hour") if hours == 1 else told("{hours} hours", hours=hours)
    return told("a day") if days == 1 else told("{days} days", days=days)


def check_owner_may_call_off(state: str, telephone: str) -> None:
    """Raises Refused once the machine is here or the visit is over. A late call is still better than not coming."""
    if state not in states.COMING:
        words = told(states.WORDS[state])
        raise Refused(
            told(
                "This visit is {state}: it can't be called off here. Ring {telephone}.",
                state=words,
                telephone=telephone,
            )
        )
