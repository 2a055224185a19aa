"""A judgement as a value: what is concluded from one case, and why. core/telling puts it into sentences."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from diagnostics.core.bank.bank import GROUPS


@dataclass(frozen=True)
class Stopped:
    """Do-not-run rules fired. findings: those that fired them, "id=value", each once, in the manual's order.

    unless_made_to_advance: a strobe rule fired on a machine whose timing curve is unknown and was assumed fixed.
    """

    findings: tuple[str, ...]
    unless_made_to_advance: bool = False


@dataclass(frozen=True)
class BookedForTheBench:
    """A plain case: there is no roller slot to lose."""


@dataclass(frozen=True)
class RichSetUp:
    """A plain case: merely rich, which is what a set-up is for. chance: that it is rich, 0 to 1."""

    chance: float


@dataclass(frozen=True)
class RichPowerRun:
    """A plain case: merely rich, so a set-up is offered instead. chance: that it is rich, 0 to 1."""

    chance: float


@dataclass(frozen=True)
class Cheapest:
    """Decided on cost. by_pence: how much cheaper the route is than the next."""

    by_pence: float
    next_route: str


@dataclass(frozen=True)
class KeptOffTheRollers:
    """It is not roller-ready, whatever the costs say. findings: what keeps it off, "id=value", in the manual's order;
    empty if nothing was answered.

    by_pence, next_route: how much cheaper the route is than the next that is dearer; None and "" if it must be rung
    about.
    unless_made_to_advance: as for Stopped.
    """

    findings: tuple[str, ...]
    by_pence: float | None = None
    next_route: str = ""
    unless_made_to_advance: bool = False


Why = Stopped | KeptOffTheRollers | BookedForTheBench | RichSetUp | RichPowerRun | Cheapest


class Caution(Enum):
    """What must not be done until the bench has looked, gravest first. The value is the stored form."""

    STOPPED = "stopped"
    LEAK = "leak"
    DRAIN = "drain"
    FLYWHEEL = "flywheel"
    NO_SMALLER_JETS = "no-smaller-jets"
    RICH_OTHERWISE = "rich-otherwise"
    LIMITER = "limiter"
    AUTOMATIC = "automatic"
    FOUR_STROKE = "four-stroke"


@dataclass(frozen=True)
class Reason:
    """answer: "id=value"; towards: the group whose log odds it moves most; weight: by how much, negative if against."""

    answer: str
    towards: str
    weight: float


@dataclass(frozen=True)
class AskNext:
    """pence: the expected saving over the cost routes, less the cost of asking."""

    question: str
    pence: float


class BenchStep(NamedTuple):
    """A test, or what puts right a fault that it has shown. minutes: in this order, including what must come off first
    and, for a repair, the re-test. finds: chance that it shows or cures a fault. (A judgement has some seventy: a
    dataclass takes five times as long to make.)
    """

    do: str
    minutes: float
    finds: float


@dataclass(frozen=True)
class Judgement:
    """What is concluded from a case.

    edition: of the bank. why: what decided the route. chances, groups: by fault and by group, 0 to 1. because: the
    answers that moved it, strongest first. spoilt_chance: of a fault that spoils the booked visit kind.
    route_costs_pence: by cost route.
    """

    case: str
    edition: str
    route: str
    why: Why
    chances: Mapping[str, float]
    groups: Mapping[str, float]
    because: tuple[Reason, ...]
    ask_next: AskNext | None
    bench_order: tuple[BenchStep, ...]
    expected_bench_minutes: float
    cautions: tuple[Caution, ...]
    spoilt_chance: float
    route_costs_pence: Mapping[str, float]

    @property
    def ready_chance(self) -> float:
        """Chance that no fault spoils what is booked."""
        return 1.0 - self.spoilt_chance

    @property
    def stops(self) -> tuple[str, ...]:
        """The findings that fired a do-not-run rule; empty if none did."""
        return self.why.findings if isinstance(self.why, Stopped) else ()

    @property
    def stopping_questions(self) -> frozenset[str]:
        """The questions of the findings that fired a do-not-run rule."""
        return frozenset(stop.partition("=")[0] for stop in self.stops)

    @property
    def is_by_a_rule(self) -> bool:
        """Whether a rule decided, whatever the chances and the costs say."""
        return not isinstance(self.why, BookedForTheBench | RichSetUp | RichPowerRun | Cheapest)

    @property
    def leading_group(self) -> str:
        """The likeliest group of faults."""
        return max(GROUPS, key=lambda group: self.groups[group])
