"""The planner on drawn days beside an exact reference: `python -m tests.bench.planning 1000 tests/bench/planning.md`.

Each day is planned with ten times the usual clock and the usual work, so that the figures are the planner's and not
those of a busy machine. Times are seconds of one core. The reference is given JUDGE_S for each level of a day.
"""

from __future__ import annotations

import argparse
import resource
import statistics
import time
from dataclasses import dataclass, replace
from pathlib import Path

from garage.core.planning import planner
from garage.core.planning.day_problem import DayProblem
from garage.core.planning.placing import Floor, Resources
from garage.core.planning.solving import improving
from garage.core.planning.solving.solver import SolverModel
from tests.bench.planning_stream import Stream, measured_stream
from tests.garage.core.better_day import levels_beaten
from tests.garage.core.check_plan import faults
from tests.garage.core.drawn_days import drawn_day

USUAL_LIMIT_S, CLOCK_TIMES = 2.0, 10
JUDGE_S = 10.0
LEVELS = 5


@dataclass(frozen=True)
class Measured:
    seed: int
    jobs: int
    faults: int
    proved: int
    plan_s: float
    first_s: float
    beaten: list[bool | None]  # by level, up to the first that is beaten or not decided

    def is_best(self, levels: int) -> bool:
        return self.beaten[:levels] == [False] * levels

    @property
    def is_falsely_proved(self) -> bool:
        return True in self.beaten and self.beaten.index(True) < self.proved


def measured(seed: int, *, judge: bool) -> Measured:
    day = drawn_day(seed)
    first_s = _first_s(day)
    began = time.process_time()
    made = planner.plan(replace(day, limit_s=USUAL_LIMIT_S * CLOCK_TIMES))
    plan_s = time.process_time() - began
    beaten = levels_beaten(day, made, limit_s=JUDGE_S) if judge else []
    return Measured(seed, len(day.jobs), len(faults(day, made)), made.proved, plan_s, first_s, beaten)


def _first_s(day: DayProblem) -> float:
    began = time.process_time()
    running = planner.seat_running(day)
    floor = Floor(Resources(day))
    floor.hold_all(running)
    planner.first_plan(floor, running)
    return time.process_time() - began


def stream_lines(stream: Stream) -> list[str]:
    return [
        "",
        f"{stream.days} average days (six machines, two people) in one stream through `manage.py plan`, its start",
        f"included: {stream.plan_s:.1f} s of one core, {stream.days_a_second:.0f} days a second;"
        f" {stream.clock_s:.1f} s by the clock. The plain earliest-fit rule on the same",
        f"lines, in the same run: {stream.plain_s:.2f} s of one core, so a plan takes "
        f"{stream.plan_s / stream.plain_s:.0f} times as long.",
    ]


def report(days: list[Measured], stream: Stream) -> str:
    times = sorted(day.plan_s for day in days)
    judged = [day for day in days if day.beaten]
    lines = [
        f"# The planner on {len(days)} drawn days",
        "",
        f"{JUDGE_S:.0f} s of the reference for each level; plans in seconds of one core. "
        f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB at most.",
        "",
        "| what | figure |",
        "|---|---|",
        f"| plans that break a rule | {sum(day.faults > 0 for day in days)} |",
        *(f"| proved on the first {n} levels | {_share(days, n)} |" for n in (3, LEVELS)),
        f"| first three proved within 1 s | {_of(sum(d.proved >= 3 and d.plan_s <= 1 for d in days), len(days))} |",
        f"| first plan, median and longest | {_ms(statistics.median(d.first_s for d in days))}, "
        f"{_ms(max(d.first_s for d in days))} |",
        f"| whole plan, median, 9 in 10, longest | {_ms(statistics.median(times))}, "
        f"{_ms(times[int(0.9 * (len(times) - 1))])}, {_ms(times[-1])} |",
    ]
    if judged:
        lines += [
            f"| days judged | {len(judged)} |",
            *(f"| no better plan on {n} levels | {_best(judged, n)} |" for n in (3, LEVELS)),
            f"| a better plan exists on some level | {sum(True in d.beaten for d in judged)} |",
            f"| not decided by the reference | {sum(None in d.beaten for d in judged)} |",
            f"| proved, and yet beaten | {sum(d.is_falsely_proved for d in judged)} |",
        ]
    return "\n".join([*lines, *stream_lines(stream)]) + "\n"


def _share(days: list[Measured], levels: int) -> str:
    return _of(sum(day.proved >= levels for day in days), len(days))


def _best(days: list[Measured], levels: int) -> str:
    return _of(sum(day.is_best(levels) for day in days), len(days))


def _of(count: int, total: int) -> str:
    return f"{count} of {total} ({100 * count / total:.1f} %)"


def _ms(seconds: float) -> str:
    return f"{1000 * seconds:.0f} ms"


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("days", type=int)
    parser.add_argument("note", type=Path)
    parser.add_argument("--unjudged", action="store_true", help="without the reference")
    chosen = parser.parse_args()
    SolverModel()  # its import counts for no day
    stream = measured_stream()
    improving.WORK_S_A_SECOND /= CLOCK_TIMES
    days = [measured(seed, judge=not chosen.unjudged) for seed in range(chosen.days)]
    chosen.note.write_text(report(days, stream), encoding="utf-8")


if __name__ == "__main__":
    main()
