"""A judgement as a value: what is concluded from one case, and why. Its sentences are made in core/telling."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from diagnostics.core.bank.bank import GROUPS


@dataclass(frozen=True)
class Stopped:
    """Rules of do-not-run fired. findings: what fired them, "id=value", each once, in the manual's order.

    unless_made_to_advance: a reading fired one on timing taken for fixed, since its curve is not known.
    """

    findings: tuple[str, ...]
    unless_made_to_advance: bool = False


@dataclass(frozen=True)
class BookedForTheBench:
    """A plain case: there is no roller slot to lose."""


@dataclass(frozen=True)
class RichSetUp:
    """A plain case: merely rich, which is what a set-up is for. chance: of its being rich, 0 to 1."""

    chance: float


@dataclass(frozen=True)
class RichPowerRun:
    """A plain case: merely rich, so a set-up is offered instead. chance: of its being rich, 0 to 1."""

    chance: float


@dataclass(frozen=True)
class Cheapest:
    """The costs decided. by_pence: how much cheaper the route is than the next one."""

    by_pence: float
    next_route: str


Why = Stopped | BookedForTheBench | RichSetUp | RichPowerRun | Cheapest


class Caution(Enum):
    """What must not be done until it is looked at, gravest first; the value is how it is kept."""

    STOPPED = "stopped"
    DRAIN = "drain"
    FLYWHEEL = "flywheel"
    NO_SMALLER_JETS = "no-smaller-jets"
    RICH_OTHERWISE = "rich-otherwise"
    LIMITER = "limiter"
    AUTOMATIC = "automatic"
    FOUR_STROKE = "four-stroke"


@dataclass(frozen=True)
class Reason:
    """answer: "id=value"; towards: the group whose log odds it moves most; weight: by how much, negative = against."""

    answer: str
    towards: str
    weight: float


@dataclass(frozen=True)
class AskNext:
    """pence: what the answer is expected to save over the cost routes, less what asking costs."""

    question: str
    pence: float


@dataclass(frozen=True)
class BenchStep:
    """do: what; minutes: in this order, with what must come off first; finds: chance that it shows or cures a fault."""

    do: str
    minutes: float
    finds: float


@dataclass(frozen=True)
class Judgement:
    """What is concluded from a case.

    edition: of the bank. why: what decided the route. chances, groups: of each fault and group, 0 to 1. because: the
    answers that moved it, strongest first. spoilt_chance: that a fault is present which spoils the booked visit kind.
    route_costs_pence: of each cost route.
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
        """That no fault is present which spoils what is booked."""
        return 1.0 - self.spoilt_chance

    @property
    def stops(self) -> tuple[str, ...]:
        """The findings that fired a rule of do-not-run; none where no rule did."""
        return self.why.findings if isinstance(self.why, Stopped) else ()

    @property
    def leading_group(self) -> str:
        """The likeliest group of faults."""
        return max(GROUPS, key=lambda group: self.groups[group])
