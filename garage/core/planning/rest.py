"""What is left of work that is interrupted or takes longer, in whole minutes."""

from __future__ import annotations

from garage.core.time.day_minutes import PIECE_MIN, rounded_up_min

MORE_MIN = (5, 15, 30)  # what a running step is given with one tap. Common practice, no source


def rest_min(minutes: int, so_far_min: int) -> int:
    """What is left of a step that pauses, in whole five minutes and at least five: it was not over.

    minutes: as planned. so_far_min: worked since it began.

    >>> rest_min(90, 48), rest_min(90, 88), rest_min(90, 120)
    (45, 5, 5)
    """
    return rounded_up_min(max(minutes - so_far_min, PIECE_MIN))


def longer_min(minutes: int, so_far_min: int, more_min: int) -> int:
    """The length of a running step that is given more: from its planned end, or from now if that is past.

    >>> longer_min(90, 60, 15), longer_min(90, 100, 15)
    (105, 115)
    """
    return max(minutes, so_far_min) + more_min
