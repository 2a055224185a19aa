"""Time that the garage keeps free: so many minutes at the bench for fix-first, or on the rollers for machines in the
building, by weekday.

Nobody books into it online. It has no fixed time: a sale is asked of the day as if the kept minutes were jobs to be
done at some time of it. What they are kept for uses them up. The day's own plan knows nothing of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from garage.core import routes
from garage.core.errors import BadInput
from garage.core.planning.day_problem import BENCH, KINDS, ROLLER, Job, JobStep
from garage.core.planning.day_rules import DayAt, VisitStep, VisitToPlan, due_steps, station_min
from garage.core.time.clock import WEEKDAYS
from garage.core.time.open_days import Hours

KEPT_PIECE_MIN = (
    60  # minutes kept in one piece at most: room for one usual job of fix-first; common practice, no source
)

PLACE_SAID = {BENCH: "bench", ROLLER: "rollers"}
KeptFree = Mapping[tuple[int, str], int]  # weekday (0 is Monday) and place: minutes


def kept_jobs(minutes: Mapping[str, int]) -> tuple[Job, ...]:
    """The kept minutes by place as jobs without a time, in equal pieces.

    >>> [(job.id, job.steps[0].minutes) for job in kept_jobs({"bench": 90, "roller": 45})]
    [('kept bench 1', 45), ('kept bench 2', 45), ('kept roller 1', 45)]
    """
    return tuple(
        Job(f"kept {at} {nth}", 0, (JobStep(at, piece),))
        for at in KINDS
        for nth, piece in enumerate(_pieces(minutes.get(at, 0)), 1)
    )


def still_kept(rules: KeptFree, visits: Iterable[VisitToPlan], seen: DayAt) -> dict[str, int]:
    """The minutes by place that are still kept on a day: the rule's, less what they are kept for takes already.

    visits: those of the day.
    """
    kept = {at: rules.get((seen.day.weekday(), at), 0) for at in KINDS}
    for visit in visits if any(kept.values()) else ():
        for step in due_steps(visit, seen):
            if _is_what_it_is_kept_for(visit, step, seen):
                kept[step.at] -= station_min(step, has_passed_gate=visit.has_passed_gate)
    return {at: max(0, minutes) for at, minutes in kept.items()}


def check_kept(rules: KeptFree, hours: Mapping[int, Hours | None], stations: Mapping[str, int]) -> None:
    """hours: the garage's by weekday, None where closed. stations: how many of each place. Raises BadInput."""
    for (weekday, at), minutes in rules.items():
        day, words = hours.get(weekday), f"{WEEKDAYS[weekday]}: {PLACE_SAID[at]}"
        if minutes and day is None:
            raise BadInput(words, minutes, f"0: the garage is closed on {WEEKDAYS[weekday]}s")
        most = 0 if day is None else stations.get(at, 0) * open_min(day)
        if not 0 <= minutes <= most:
            raise BadInput(words, minutes, f"0 to {most} minutes, what there is between opening and closing")


def open_min(hours: Hours) -> int:
    """Minutes between opening and closing.

    >>> from datetime import time
    >>> open_min(Hours(time(8), time(17, 30)))
    570
    """
    opens, closes = (at.hour * 60 + at.minute for at in (hours.opens, hours.closes))
    return closes - opens


def _pieces(minutes: int) -> Iterator[int]:
    count = -(-minutes // KEPT_PIECE_MIN)
    for nth in range(count):
        yield minutes * (nth + 1) // count - minutes * nth // count


def _is_what_it_is_kept_for(visit: VisitToPlan, step: VisitStep, seen: DayAt) -> bool:
    """At the bench what is put right; on the rollers a machine that is here and was not booked in for this time."""
    is_put_right = any(one.at == BENCH and not one.is_check for one in visit.steps)
    if step.at == BENCH:
        is_for_the_rollers = any(one.at == ROLLER for one in visit.steps)
        return not step.is_check and (visit.route in routes.TO_FIX or is_for_the_rollers)
    if visit.arrived_at is None:
        return False
    has_stood_here = seen.local.day(visit.arrived_at) < seen.day
    has_no_time = not (visit.at == ROLLER and seen.has(visit.starts_at))
    return is_put_right or has_stood_here or has_no_time
