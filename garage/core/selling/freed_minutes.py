"""What is left of a time that is given back once it has begun, and what became of minutes given back: sold again,
given to a machine in the building, or lost.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from garage.core.time.day_minutes import PIECE_MIN, rounded_up_min

TO_BRING_ONE_MIN = 5  # min until another machine stands there; common practice, no source
Spot = tuple[str, int, datetime]  # roller or bench, the n-th of its kind, the begin of five minutes


@dataclass(frozen=True, slots=True)
class PieceFreed:
    """Five minutes that were given back at freed_at. pence: what they were sold for."""

    spot: Spot
    freed_at: datetime
    pence: float


@dataclass(frozen=True, slots=True)
class MinutesShare:
    minutes: int
    pence: int


@dataclass(frozen=True, slots=True)
class FreedMinutes:
    """still_open: in the future, not sold again yet."""

    sold_again: MinutesShare
    in_the_building: MinutesShare
    lost: MinutesShare
    still_open: MinutesShare

    @property
    def minutes(self) -> int:
        """Of all that is decided."""
        return self.sold_again.minutes + self.in_the_building.minutes + self.lost.minutes


SOLD_AGAIN, IN_THE_BUILDING, LOST, OPEN = "sold again", "in the building", "lost", "open"


def gone_min(starts_at: datetime, minutes: int, freed_at: datetime) -> int:
    """How many of its minutes can't be used any more, in whole pieces: none while it is ahead. freed_at: given back.

    >>> from datetime import UTC
    >>> ten = datetime(2026, 11, 25, 10, tzinfo=UTC)
    >>> [gone_min(ten, 90, ten + timedelta(minutes=late)) for late in (-1, 0, 16, 83, 200)]
    [0, 5, 25, 90, 90]
    """
    if freed_at < starts_at:
        return 0
    until = freed_at - starts_at + timedelta(minutes=TO_BRING_ONE_MIN)
    return min(minutes, rounded_up_min(until / timedelta(minutes=1)))


def what_became(
    freed: Iterable[PieceFreed],
    sold: Mapping[Spot, datetime | None],
    worked: Mapping[tuple[str, datetime], int],
    now: datetime,
) -> FreedMinutes:
    """Each five minutes once for each time that they were given back.

    sold: the pieces that are sold at the end, with when the machine that has them came in; None if it is not here yet.
    worked: how many machines without a sold piece stood at such a place in those five minutes. What was given back
    again had been sold in between.
    """
    left = Counter(worked)
    minutes: Counter[str] = Counter()
    pence: defaultdict[str, float] = defaultdict(float)
    later: set[Spot] = set()
    for piece in sorted(freed, key=lambda piece: (piece.freed_at, piece.spot), reverse=True):
        kind = SOLD_AGAIN if piece.spot in later else _became(piece, sold, left, now)
        later.add(piece.spot)
        minutes[kind] += PIECE_MIN
        pence[kind] += piece.pence
    kinds = (SOLD_AGAIN, IN_THE_BUILDING, LOST, OPEN)
    return FreedMinutes(*(MinutesShare(minutes[kind], round(pence[kind])) for kind in kinds))


def _became(
    piece: PieceFreed, sold: Mapping[Spot, datetime | None], left: Counter[tuple[str, datetime]], now: datetime
) -> str:
    at, _, begins_at = piece.spot
    if piece.spot in sold:
        came = sold[piece.spot]
        return IN_THE_BUILDING if came is not None and came <= piece.freed_at else SOLD_AGAIN
    if begins_at >= now:
        return OPEN
    if left[at, begins_at] > 0:
        left[at, begins_at] -= 1
        return IN_THE_BUILDING
    return LOST
