"""A year of average days in one stream through `manage.py plan`, beside the plain rule on the same days."""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from random import Random

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Worker
from garage.core.planning.plan_lines import day_from
from garage.core.planning.weeks.practices import earliest_fit
from tests.golden.asked import day_line
from tests.rules.tree import ROOT

JOBS, DAYS = 6, 365
LENGTHS_MIN = (45, 60, 90)
BREAKS = ((720, 750), (750, 780))  # one of the two people is always there


@dataclass(frozen=True)
class Stream:
    """days: how many. plan_s: of one core for the whole command, its start included, and clock_s by the clock.
    plain_s: of one core for the plain earliest-fit rule, the same lines read.
    """

    days: int
    plan_s: float
    clock_s: float
    plain_s: float

    @property
    def days_a_second(self) -> float:
        return self.days / self.plan_s


def average_day(seed: int) -> DayProblem:
    """One roller, two benches, two people, six machines, half of them promised a time; guard 10."""
    chance = Random(f"average {seed}")
    people = tuple(Worker(f"p{n}", 480, 1050, (pause,)) for n, pause in enumerate(BREAKS, 1))
    jobs = tuple(_job(chance, str(40 + n), 510 + 90 * n if n % 2 else None) for n in range(JOBS))
    return DayProblem("2027-03-10", 480, rollers=1, benches=2, people=people, jobs=jobs, guard=10)


def _job(chance: Random, number: str, promised: int | None) -> Job:
    steps = (JobStep("bench", 20, check=True), JobStep("roller", chance.choice(LENGTHS_MIN)))
    here = 480 if promised is None else promised - 30
    return Job(number, here, steps, None, promised, 100 * chance.randint(40, 140), chance.randint(30, 100) / 100)


def measured_stream() -> Stream:
    lines = [day_line(average_day(seed)) for seed in range(DAYS)]
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "days.jsonl"
        file.write_text("\n".join(lines) + "\n", encoding="utf-8")
        began, children_s = time.perf_counter(), _children_s()
        asked = [sys.executable, "manage.py", "plan", str(file)]
        done = subprocess.run(asked, cwd=ROOT, capture_output=True, text=True, check=True)
        clock_s, plan_s = time.perf_counter() - began, _children_s() - children_s
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    if len(answers) != DAYS or any("error" in answer for answer in answers):
        raise ValueError("a day of the stream had no plan")
    used = time.process_time()
    for line in lines:
        earliest_fit(day_from(json.loads(line)))
    return Stream(DAYS, plan_s, clock_s, time.process_time() - used)


def _children_s() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime
