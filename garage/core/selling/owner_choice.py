"""Fix first: its owner puts it right at home or leaves it with us. Until there is an answer it keeps its time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from garage.core import routes, states
from garage.core.errors import Refused
from garage.core.text.languages import told, told_later

ASKED, MYSELF, WITH_US = "asked", "myself", "with-us"
WORDS = {ASKED: "its owner is asked", MYSELF: "its owner puts it right", WITH_US: "left with us"}

RING_BELOW = timedelta(hours=36)  # before the agreed time; nearer than that a person rings. The house's own rule
SOLD_AGAIN_IN = timedelta(hours=12)  # that a time needs to be sold again; common practice, no source
TO_ASK = (
    "Fix first: will they put it right themselves, or leave it with us?",
    "Its time on the rollers: do they give it back now?",
)

_BENCH_LOOKS_FIRST = told_later(
    "From what we know, it should not be run before the bench has looked at it. Leave it with us, or ring {telephone}."
)


@dataclass(frozen=True, slots=True)
class ChoiceFacts:
    """What is known of a visit whose owner may choose.

    state, route, choice: as the visit has them. has_time: one is agreed, wherever. floor_places: still free, in whole
    machines. is_kept_off: it is booked for the rollers and must not run.
    """

    state: str
    route: str
    choice: str
    has_time: bool
    floor_places: int = 0
    is_kept_off: bool = False

    @property
    def is_open(self) -> bool:
        """Whether something is still to be chosen: it is asked for, or it has no time yet."""
        return self.state in states.COMING and self.route in routes.TO_FIX and (self.is_asked or not self.has_time)

    @property
    def is_asked(self) -> bool:
        return self.choice == ASKED


def choose_by(starts_at: datetime, now: datetime, limit: timedelta) -> datetime | None:
    """Until when its owner may choose. None if the agreed time is so near that a person rings instead.

    starts_at: the agreed time. limit: the shop's own, above 0.

    >>> from datetime import UTC
    >>> now = datetime(2026, 11, 23, 9, 0, tzinfo=UTC)
    >>> choose_by(now + timedelta(hours=48), now, timedelta(hours=24)).isoformat()
    '2026-11-24T09:00:00+00:00'
    >>> choose_by(now + timedelta(hours=35), now, timedelta(hours=24)) is None
    True
    """
    if starts_at - now < RING_BELOW:
        return None
    return min(now + limit, starts_at - SOLD_AGAIN_IN)


def floor_places_left(places: int, *, overnight: int, promised: int) -> int:
    """Whole machines. overnight: those in the building that stay. promised: left with us and not here yet.

    >>> floor_places_left(3, overnight=1, promised=1), floor_places_left(1, overnight=2, promised=0)
    (1, 0)
    """
    return max(0, places - overnight - promised)


def check_may_fix_it(facts: ChoiceFacts, telephone: str) -> None:
    """Raises Refused. What must not run is looked at by the bench first, whoever mends it."""
    _check_is_open(facts, telephone)
    if facts.route == routes.DO_NOT_RUN:
        raise Refused(told(_BENCH_LOOKS_FIRST, telephone=telephone))


def check_may_leave_it(facts: ChoiceFacts, telephone: str) -> None:
    """Raises Refused. Only while there is room for it."""
    _check_is_open(facts, telephone)
    if not facts.floor_places:
        raise Refused(
            told(
                "There is no room for another machine to stay with us at the moment: "
                "ring {telephone} and we find a way.",
                telephone=telephone,
            )
        )


def check_may_take_time(facts: ChoiceFacts, telephone: str) -> None:
    """Raises Refused. A new time for a visit without one: put right at home and judged again, put off by the workshop,
    or judged ready while it had none.
    """
    waits_for_nothing = facts.choice == "" and facts.route in ("", routes.ROLLER_READY)
    if facts.state not in states.COMING or not (waits_for_nothing or facts.choice == MYSELF):
        words = told(states.WORDS[facts.state])
        raise Refused(
            told(
                "This visit is {state}: no new time is chosen here. Ring {telephone}.", state=words, telephone=telephone
            )
        )
    if facts.is_kept_off:
        raise Refused(told(_BENCH_LOOKS_FIRST, telephone=telephone))
    if facts.has_time:
        raise Refused(told("This visit has a time already: move it instead."))
    if facts.choice == MYSELF and facts.route != routes.ROLLER_READY:
        raise Refused(
            told(
                "First the check sheet again: how it revs out now. Once that says it is ready for the rollers, you "
                "choose a time here. If it won’t come right, leave it with us, or ring {telephone}.",
                telephone=telephone,
            )
        )


def _check_is_open(facts: ChoiceFacts, telephone: str) -> None:
    if not facts.is_open:
        raise Refused(
            told(
                "There is nothing to choose for this visit any more. Ring {telephone} if something has changed.",
                telephone=telephone,
            )
        )
