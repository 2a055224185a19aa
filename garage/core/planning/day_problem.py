"""A workshop day as the planner sees it: people, stations, jobs with their steps, and the resulting plan.

Every time is a whole minute from local midnight, 0 to 1440, inclusive: a step may end exactly where a break begins.
Nothing here knows a clock, a database or a person's name.
"""

from __future__ import annotations

from dataclasses import dataclass, field

PROMISE_WINDOW_MIN = 15  # minutes after the promised time by which it must begin to be kept; the manual of `plan`
OVERRUN_MIN = 5  # minutes still allowed for a running step that has used up its time; the manual of `plan`
BENCH, ROLLER = KINDS = ("bench", "roller")
# Chance of passing the gate below which a machine is in doubt: named in the plan's notes, drawn with a broken thread.
# Under 8 in 10 at least one check in five fails, and another machine should be ready to take the rollers. No source.
IN_DOUBT_BELOW = 0.8


@dataclass(frozen=True, slots=True)
class Pin:
    """What a person has fixed by hand. Each part is optional."""

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
        """The minute at which a running step should end: after its own time, or OVERRUN_MIN from now if that is past.

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
    """One machine's work of the day. worth: pence. ready: chance, 0 to 1, that it passes its readiness check."""

    id: str
    here_from: int
    steps: tuple[JobStep, ...]
    gone_by: int | None = None
    promised: int | None = None
    worth: int = 0
    ready: float = 1.0

    @property
    def first_open(self) -> int:
        """Index of the step after the last one that has begun. The steps from there on are still to be placed."""
        return max((i + 1 for i, step in enumerate(self.steps) if step.began is not None), default=0)

    @property
    def is_in_doubt(self) -> bool:
        return self.ready < IN_DOUBT_BELOW

    @property
    def has_open_promise(self) -> bool:
        """Whether there is a promise and its roller step has not begun."""
        return self.promised is not None and self.first_roller is not None and self.first_roller >= self.first_open

    @property
    def has_begun(self) -> bool:
        return any(step.began is not None for step in self.steps)

    @property
    def open_count(self) -> int:
        """The number of steps still to be placed."""
        return len(self.steps) - self.first_open

    @property
    def first_roller(self) -> int | None:
        """Index of the first roller step, which the promise refers to. None if there is none."""
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
    """A step with its station (from 1), its person and its minutes. Running steps have one too."""

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
    """The answer of `plan`. worth: pence. roller_minutes: from now on. proved: levels proved optimal, 0 to 5."""

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
