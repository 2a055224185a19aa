"""What keeps a machine off the rollers: one rule, asked by every door.

A door is whatever can put a machine on the rollers, give it time there, have it run hard or ridden, make it leaner by a
smaller main jet, or let it through the gate.
The table of doors and stops is in DEVELOPERS.md; tests/rules/test_roller_doors.py finds a door that is not in it.

Which findings say that a machine must not run is decided in a higher room, which hands their sentences down.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from garage.core import routes, states
from garage.core.errors import Refused


class RollerAct(Enum):
    """What a door would do. A pass and an override both open the rollers; only a pass lifts a person's own word."""

    GO_ON = "go on the rollers now"
    STAND_THERE = "stand on the rollers, to be strapped down and not yet to be run"
    HAVE_TIME = "be given or keep roller time"
    BE_PLANNED = "be planned or pinned on the rollers"
    RUN_HARD = "be run hard"
    BE_RIDDEN = "be ridden on a test ride"
    JET_DOWN = "have a smaller main jet fitted"
    THROUGH_THE_GATE = "be passed at the gate"
    OVERRIDE = "be let through a failed gate"


class StopKind(Enum):
    """MUST_NOT_RUN: findings. MARKED: a person's route, do not run. FOR_GOOD: a failed line that nobody overrides.
    NOT_PULLED: on this visit it has not run at working load without breaking down.
    """

    MUST_NOT_RUN = "must not run"
    MARKED = "marked do not run"
    NOT_HERE = "not here"
    NO_GATE = "no gate passed"
    FOR_GOOD = "failed for good"
    NOT_PULLED = "no clean pull"


@dataclass(frozen=True, slots=True)
class RollerFacts:
    """What is known of a visit.

    must_not_run: the findings that say so, as sentences. failed_for_good: of its last gate, what failed and is never
    overridden for this act, as sentences. has_passed_gate: passed or overridden, and nothing found since that stops it.
    has_passed_at_bench: its first part alone, likewise. has_pulled_clean: its last run at working load on this visit
    did not break down; told by whoever asks about a smaller main jet.
    """

    number: int
    state: str
    must_not_run: tuple[str, ...] = ()
    route: str = ""
    has_passed_gate: bool = False
    has_passed_at_bench: bool = False
    failed_for_good: tuple[str, ...] = ()
    has_pulled_clean: bool = False


@dataclass(frozen=True, slots=True)
class RollerStop:
    """sentence: what stands against it and what to do instead, for the workshop."""

    kind: StopKind
    sentence: str


STOPS: dict[RollerAct, tuple[StopKind, ...]] = {
    RollerAct.GO_ON: (StopKind.MUST_NOT_RUN, StopKind.MARKED, StopKind.NOT_HERE, StopKind.NO_GATE),
    RollerAct.STAND_THERE: (StopKind.MUST_NOT_RUN, StopKind.MARKED, StopKind.NOT_HERE, StopKind.NO_GATE),
    RollerAct.HAVE_TIME: (StopKind.MUST_NOT_RUN, StopKind.MARKED),
    RollerAct.BE_PLANNED: (StopKind.MUST_NOT_RUN, StopKind.MARKED),
    RollerAct.RUN_HARD: (StopKind.MUST_NOT_RUN, StopKind.MARKED),
    RollerAct.BE_RIDDEN: (
        StopKind.MUST_NOT_RUN,
        StopKind.MARKED,
        StopKind.NOT_HERE,
        StopKind.NO_GATE,
        StopKind.FOR_GOOD,
    ),
    RollerAct.JET_DOWN: (
        StopKind.MUST_NOT_RUN,
        StopKind.MARKED,
        StopKind.NOT_HERE,
        StopKind.NO_GATE,
        StopKind.FOR_GOOD,
        StopKind.NOT_PULLED,
    ),
    RollerAct.THROUGH_THE_GATE: (StopKind.MUST_NOT_RUN, StopKind.NOT_HERE),
    RollerAct.OVERRIDE: (StopKind.MUST_NOT_RUN, StopKind.MARKED, StopKind.NOT_HERE, StopKind.FOR_GOOD),
}
_NOT_PULLED = (
    "Visit {} has no run at working load yet that did not break down: a weak spark fails only under cylinder pressure, "
    "and a smaller main jet would hide it and run lean. Pull it with the jet that is in, say on the run that it did "
    "not break down, then go smaller."
)
_AGAIN = "write down what the bench found, then do the gate again."
_INSTEAD = {
    RollerAct.GO_ON: f"It stays off the rollers: {_AGAIN}",
    RollerAct.STAND_THERE: f"It stays off the rollers: {_AGAIN}",
    RollerAct.HAVE_TIME: "It gets no roller time until the bench has looked at it: give it time at the bench, "
    "and the rollers come after that.",
    RollerAct.BE_PLANNED: "It is not planned on the rollers until the bench has looked at it.",
    RollerAct.RUN_HARD: "No full throttle: write down what the bench found first.",
    RollerAct.BE_RIDDEN: f"Nobody rides it: {_AGAIN}",
    RollerAct.JET_DOWN: "No smaller main jet: it would run leaner and hotter. Find what is wrong first.",
    RollerAct.THROUGH_THE_GATE: f"It does not pass: {_AGAIN}",
    RollerAct.OVERRIDE: f"Nobody overrides that: {_AGAIN}",
}


def stop_for(act: RollerAct, facts: RollerFacts) -> RollerStop | None:
    """The first stop that stands against the act. None if it may be done.

    >>> here = RollerFacts(41, states.HERE, has_passed_gate=True)
    >>> stop_for(RollerAct.GO_ON, here) is None
    True
    >>> print(stop_for(RollerAct.HAVE_TIME, RollerFacts(41, states.BOOKED, must_not_run=("It pinks.",))).sentence)
    Visit 41 must not run. It pinks. It gets no roller time until the bench has looked at it: give it time at the \
bench, and the rollers come after that.
    """
    kind = next((kind for kind in STOPS[act] if _stands(kind, act, facts)), None)
    return None if kind is None else RollerStop(kind, _sentence(kind, act, facts))


def check(act: RollerAct, facts: RollerFacts) -> None:
    """Raises Refused with the sentence of the stop, if there is one."""
    stop = stop_for(act, facts)
    if stop is not None:
        raise Refused(stop.sentence)


def _stands(kind: StopKind, act: RollerAct, facts: RollerFacts) -> bool:
    is_here = facts.state in states.IN_THE_BUILDING
    return {
        StopKind.MUST_NOT_RUN: bool(facts.must_not_run),
        StopKind.MARKED: facts.route == routes.DO_NOT_RUN and not (act is RollerAct.RUN_HARD and is_here),
        StopKind.NOT_HERE: not is_here,
        StopKind.NO_GATE: not _has_passed(act, facts),
        StopKind.FOR_GOOD: bool(facts.failed_for_good),
        StopKind.NOT_PULLED: not facts.has_pulled_clean,
    }[kind]


def _has_passed(act: RollerAct, facts: RollerFacts) -> bool:
    """Its first part is enough to stand there, to be ridden, and for a jet: the straps are for the rollers alone."""
    is_enough = act in {RollerAct.STAND_THERE, RollerAct.BE_RIDDEN, RollerAct.JET_DOWN}
    return facts.has_passed_gate or (is_enough and facts.has_passed_at_bench)


def _sentence(kind: StopKind, act: RollerAct, facts: RollerFacts) -> str:
    number = facts.number
    return {
        StopKind.MUST_NOT_RUN: f"Visit {number} must not run. {' '.join(facts.must_not_run)} {_INSTEAD[act]}",
        StopKind.MARKED: f"Visit {number} is marked do not run. {_INSTEAD[act]}",
        StopKind.NOT_HERE: states.why_not_here(number, facts.state),
        StopKind.NO_GATE: _no_gate(act, number),
        StopKind.FOR_GOOD: f"{_for_good(act)}: {' '.join(facts.failed_for_good)} Put it right, then do the gate again.",
        StopKind.NOT_PULLED: _NOT_PULLED.format(number),
    }[kind]


def _no_gate(act: RollerAct, number: int) -> str:
    if act is RollerAct.STAND_THERE:
        return f"Visit {number} has not passed the gate at the bench: that comes before the rollers."
    if act is RollerAct.BE_RIDDEN:
        return (
            f"Visit {number} has not passed the gate at the bench, where tyres, brakes, drive and throttle are looked "
            "at: nobody rides it before that."
        )
    if act is RollerAct.JET_DOWN:
        return (
            f"Visit {number} has not passed the gate at the bench, where spark, timing and air leaks are looked at: no "
            "smaller main jet before that."
        )
    return (
        f"Visit {number} has not passed the gate: nothing goes on the rollers without a passed gate or a named "
        "person's recorded override."
    )


def _for_good(act: RollerAct) -> str:
    return {
        RollerAct.BE_RIDDEN: "What was let through for the rollers is not for the road",
        RollerAct.JET_DOWN: "What was let through for the rollers is not for a smaller main jet",
    }.get(act, "Nobody overrides this")
