"""A workshop day as the planner sees it: people, stations, jobs with their steps, and the plan that comes out.

Every time is a whole minute from local midnight, 0 to 1440, both ends usable: a step may end exactly where a break
begins. The texts "HH:MM" stand at the edge only. Nothing here knows a clock, a database or a person's name.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from garage.core.errors import BadInput

DAY_MIN = 1440  # minutes from midnight to midnight; a day of a clock change is cut at the edge
PROMISE_WINDOW_MIN = 15  # minutes after the promised time in which a beginning still keeps it; the contract of `plan`
OVERRUN_MIN = 5  # minutes still given to a running step that has used up its time; the contract of `plan`
KINDS = ("bench", "roller")

_CLOCK = re.compile(r"([0-9]{2}):([0-9]{2})\Z", re.ASCII)


@dataclass(frozen=True, slots=True)
class Pin:
    """What a person has fixed by hand; each part is optional."""

    station: int | None = None
    by: str | None = None
    begin: int | None = None


@dataclass(frozen=True, slots=True)
class JobStep:
    """One stay at a station. began and by are set once it has begun, ended once it is over."""

    at: str
    minutes: int
    check: bool = False
    began: int | None = None
    by: str | None = None
    ended: int | None = None
    pin: Pin = field(default_factory=Pin)

    @property
    def is_running(self) -> bool:
        return self.began is not None and self.ended is None

    def runs_to(self, now: int) -> int:
        """Minute at which a running step is taken to end: in its time, or in OVERRUN_MIN if that has gone by.

        >>> JobStep("roller", 45, began=600, by="p1").runs_to(now=610)
        645
        >>> JobStep("bench", 10, began=600, by="p1").runs_to(now=640)
        645
        """
        began = now if self.began is None else self.began
        end = began + self.minutes
        return end if end > now else now + OVERRUN_MIN


@dataclass(frozen=True, slots=True)
class Job:
    """One machine's work of the day. worth in pence; ready 0 to 1: chance that it passes its readiness check."""

    id: str
    here_from: int
    steps: tuple[JobStep, ...]
    gone_by: int | None = None
    promised: int | None = None
    worth: int = 0
    ready: float = 1.0

    @property
    def first_open(self) -> int:
        """Index of the step after the last one that has begun: from here on the job is still to be placed."""
        return max((i + 1 for i, step in enumerate(self.steps) if step.began is not None), default=0)

    @property
    def has_begun(self) -> bool:
        return any(step.began is not None for step in self.steps)

    @property
    def open_count(self) -> int:
        """How many steps are still to be placed."""
        return len(self.steps) - self.first_open

    @property
    def first_roller(self) -> int | None:
        """Index of the first roller step, the one that a promise is about; None without one."""
        return next((i for i, step in enumerate(self.steps) if step.at == "roller"), None)


@dataclass(frozen=True, slots=True)
class Worker:
    id: str
    begin: int
    end: int
    breaks: tuple[tuple[int, int], ...] = ()
    skills: frozenset[str] = frozenset(KINDS)


@dataclass(frozen=True, slots=True)
class Placed:
    """A step with its station (from 1), its person and its minutes; also the running ones."""

    job: str
    step: int
    at: str
    station: int
    by: str
    begin: int
    end: int


@dataclass(frozen=True, slots=True)
class LeftOut:
    job: str
    why: str


@dataclass(frozen=True, slots=True)
class Broken:
    job: str
    why: str


@dataclass(frozen=True, slots=True)
class DayProblem:
    day: str
    now: int
    rollers: int
    benches: int
    people: tuple[Worker, ...]
    jobs: tuple[Job, ...]
    guard: int = 0
    limit_s: float = 2.0
    quiet_rollers: tuple[tuple[int, int], ...] = ()
    standing: tuple[Placed, ...] = ()

    def stations(self, kind: str) -> int:
        return self.rollers if kind == "roller" else self.benches


@dataclass(frozen=True, slots=True)
class Plan:
    """The contract's answer. worth in pence, roller_minutes from now on, proved: levels proved best, 0 to 5."""

    day: str
    placed: tuple[Placed, ...]
    left_out: tuple[LeftOut, ...]
    kept: int
    broken: tuple[Broken, ...]
    guarded: int
    worth: int
    roller_minutes: int
    proved: int
    notes: tuple[str, ...]


def minute_of(text: object, where: str = "time") -> int:
    """Minute from midnight of a text "HH:MM", "00:00" to "24:00". Raises BadInput naming `where`.

    >>> minute_of("09:05"), minute_of("24:00")
    (545, 1440)
    """
    found = _CLOCK.match(text) if isinstance(text, str) else None
    if found is not None:
        hour, minute = int(found[1]), int(found[2])
        if minute < 60 and hour * 60 + minute <= DAY_MIN:
            return hour * 60 + minute
    raise BadInput(where, text, 'a time of day from "00:00" to "24:00"')


def hhmm(minute: int) -> str:
    """The clock's text of a minute from midnight.

    >>> hhmm(545), hhmm(1440)
    ('09:05', '24:00')
    """
    return f"{minute // 60:02d}:{minute % 60:02d}"
