"""Minutes of a day, counted from local midnight. The plan, its drawing and the stations' hours use them.

The text form "HH:MM" exists only at the edge.
"""

from __future__ import annotations

import math
import re
from datetime import time

from garage.core.errors import BadInput

DAY_MIN = 1440  # minutes from midnight to midnight; the day of a clock change is adjusted at the edge
PIECE_MIN = 5  # the piece in which time is sold

_HHMM = re.compile(r"([0-9]{2}):([0-9]{2})\Z", re.ASCII)


def minute_of(moment: time) -> int:
    """The minute of a wall-clock time, 0 to 1439. Seconds are dropped.

    >>> minute_of(time(9, 5, 59))
    545
    """
    return moment.hour * 60 + moment.minute


def minute_read(text: object, where: str = "time") -> int:
    """The minute given as "HH:MM", "00:00" to "24:00". Raises BadInput naming `where`.

    >>> minute_read("09:05"), minute_read("24:00")
    (545, 1440)
    """
    found = _HHMM.match(text) if isinstance(text, str) else None
    if found is not None:
        hour, minute = int(found[1]), int(found[2])
        if minute < 60 and hour * 60 + minute <= DAY_MIN:
            return hour * 60 + minute
    raise BadInput(where, text, 'a time of day from "00:00" to "24:00"')


def hhmm(minute: int) -> str:
    """The clock time at that minute.

    >>> hhmm(545), hhmm(1440)
    ('09:05', '24:00')
    """
    return f"{minute // 60:02d}:{minute % 60:02d}"


def rounded_up_min(minutes: float) -> int:
    """A length rounded up to whole five-minute pieces, as it is planned and sold. BadInput unless above 0.

    >>> [rounded_up_min(each) for each in (1, 5, 40.2)]
    [5, 5, 45]
    """
    if minutes <= 0:
        raise BadInput("minutes", minutes, "a length above 0")
    return math.ceil(minutes / PIECE_MIN) * PIECE_MIN
