"""When the rollers may run: noise, neighbours or a planning condition may ask for less than the opening hours.

They are given to the plan as the stretches of the day in which no roller runs (DayProblem.quiet_rollers).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import time

from garage.core.errors import BadInput
from garage.core.text.languages import told
from garage.core.time.day_minutes import DAY_MIN, hhmm, minute_of

Spans = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class RollerHours:
    """Of one weekday. begins, ends: local times, None where the opening hours are the only limit."""

    begins: time | None = None
    ends: time | None = None
    has_rollers: bool = True

    @property
    def quiet(self) -> Spans:
        """The minutes of the day in which no roller may run: begin and end of each stretch, in order.

        >>> RollerHours(time(9), time(16)).quiet, RollerHours().quiet
        (((0, 540), (960, 1440)), ())
        """
        if not self.has_rollers:
            return ((0, DAY_MIN),)
        before = (0, minute_of(self.begins)) if self.begins else (0, 0)
        after = (minute_of(self.ends), DAY_MIN) if self.ends else (DAY_MIN, DAY_MIN)
        return tuple(span for span in (before, after) if span[0] < span[1])

    def check(self, weekday: str, *, opens: time, closes: time) -> None:
        """Raises BadInput at "<weekday>: rollers from" or "… until" unless they lie within the opening hours."""
        since, until = f"{weekday}: rollers from", f"{weekday}: rollers until"
        if not self.has_rollers:
            for where, moment in ((since, self.begins), (until, self.ends)):
                if moment:
                    raise BadInput(where, f"{moment:%H:%M}", "an empty field on a day with no rollers")
            return
        if self.begins and not opens <= self.begins < closes:
            raise BadInput(since, f"{self.begins:%H:%M}", f"a time from {opens:%H:%M} and before {closes:%H:%M}")
        first = self.begins or opens
        if self.ends and not first < self.ends <= closes:
            allowed = f"a time after {first:%H:%M}, {closes:%H:%M} at the latest"
            raise BadInput(until, f"{self.ends:%H:%M}", allowed)


def is_outside(quiet: Sequence[tuple[int, int]], begin: int, end: int) -> bool:
    """Whether any minute of a session from begin to end, exclusive, falls where no roller may run.

    >>> is_outside(((0, 540), (960, 1440)), 540, 960), is_outside(((0, 540), (960, 1440)), 900, 961)
    (False, True)
    """
    return any(begin < until and end > since for since, until in quiet)


def hours_in_words(quiet: Sequence[tuple[int, int]]) -> str:
    """What the rollers do that day, said of them. quiet: as of RollerHours. Empty where nothing limits them.

    >>> hours_in_words(((0, 540), (960, 1440)))
    'run from 09:00 to 16:00'
    """
    if not quiet:
        return ""
    begin = quiet[0][1] if quiet[0][0] == 0 else 0
    end = quiet[-1][0] if quiet[-1][1] == DAY_MIN else DAY_MIN
    if begin == DAY_MIN:
        return told("do not run")
    if not begin:
        return told("run until {end}", end=hhmm(end))
    if end == DAY_MIN:
        return told("run from {begin}", begin=hhmm(begin))
    return told("run from {begin} to {end}", begin=hhmm(begin), end=hhmm(end))
