"""The plan that people work to, as it was accepted: by step rows and people's log-ins, which outlive names and orders.

The planner counts a machine's steps from 0 and knows people by their names. Both change while a plan stands: a gate is
put in before a session, somebody of the same name joins. So what is kept names the rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, astuple, dataclass
from typing import Any

from garage.core.errors import BadInput
from garage.core.planning.day_problem import Placed

VERSION = 1  # raise it when a key changes its meaning

StepPlaces = Mapping[tuple[str, int], int]  # (job id, index of the step in the job) to the id of the step's row


@dataclass(frozen=True, slots=True)
class StandingStep:
    """One step in its place. step, person: ids of rows, 0 for nobody known. visit: its number. Minutes from local
    midnight.
    """

    step: int
    visit: int
    at: str
    station: int
    person: int
    begin: int
    end: int


@dataclass(frozen=True, slots=True)
class StandingPlan:
    """Steps by begin time, those that were under way then included."""

    steps: tuple[StandingStep, ...]


@dataclass(frozen=True, slots=True)
class SeenPlan:
    """A proposal as somebody saw it, to be accepted if it is still one. after: the number of the plan that stood then.

    As text it is what a button of a page sends:

    >>> str(SeenPlan(0, StandingPlan((StandingStep(7, 41, "roller", 1, 3, 540, 630),))))
    '0 7.41.roller.1.3.540.630'
    """

    after: int
    plan: StandingPlan

    def __str__(self) -> str:
        steps = (".".join(str(value) for value in astuple(step)) for step in self.plan.steps)
        return " ".join([str(self.after), *steps])

    @classmethod
    def read(cls, text: str) -> SeenPlan:
        """Raises BadInput."""
        try:
            after, *steps = text.split()
            return cls(int(after), StandingPlan(tuple(_step_read(step) for step in steps)))
        except ValueError as trouble:
            raise BadInput("The plan", text[:40], "one of the day sheet: open it again") from trouble


def _step_read(text: str) -> StandingStep:
    step, visit, at, station, person, begin, end = text.split(".")
    return StandingStep(int(step), int(visit), at, int(station), int(person), int(begin), int(end))


def to_json(plan: StandingPlan) -> dict[str, Any]:
    """Plain JSON values.

    >>> to_json(StandingPlan((StandingStep(7, 41, "roller", 1, 3, 540, 630),)))["steps"]
    [{'step': 7, 'visit': 41, 'at': 'roller', 'station': 1, 'person': 3, 'begin': 540, 'end': 630}]
    """
    return {"version": VERSION, "steps": [asdict(step) for step in plan.steps]}


def from_json(value: Mapping[str, Any]) -> StandingPlan:
    """Raises BadInput on another version."""
    if value.get("version") != VERSION:
        raise BadInput("The kept plan", f"version {value.get('version')}", f"version {VERSION}")
    return StandingPlan(tuple(StandingStep(**step) for step in value["steps"]))


def kept_of(placed: Iterable[Placed], step_ids: StepPlaces, person_ids: Mapping[str, int]) -> StandingPlan:
    """What the planner placed, by rows. person_ids: by the plan's names."""
    return StandingPlan(
        tuple(
            StandingStep(step_ids[p.job, p.step], int(p.job), p.at, p.station, person_ids.get(p.by, 0), p.begin, p.end)
            for p in placed
        )
    )


def placed_of(plan: StandingPlan, step_ids: StepPlaces, names: Mapping[int, str]) -> tuple[Placed, ...]:
    """A kept plan as the planner takes it. Steps that are not of the day any more are left out: of a visit that has
    gone or has another day, or of a machine that must not be run since.

    names: the plan's name of each person. Somebody without one no longer works here.
    """
    seats = {row: seat for seat, row in step_ids.items()}
    return tuple(
        Placed(*seats[kept.step], kept.at, kept.station, names.get(kept.person, ""), kept.begin, kept.end)
        for kept in plan.steps
        if kept.step in seats
    )
