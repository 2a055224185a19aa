"""How fast the judgement is and how much memory it takes. CPU seconds of one thread, the best of five passes."""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from diagnostics.core.assess import assess, assess_many
from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case, MachineFacts
from diagnostics.core.judging.cells import sums_of
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.routing import route_by
from tests.diagnostics.core.drawn_sheets import draw_sheet

ROOT = Path(__file__).resolve().parents[2]
COMMAND = [sys.executable, str(ROOT / "manage.py"), "assess", "-"]
PASSES = 5
TOGETHER = 64  # cases at a time, as the command takes them


def speed_lines(bank: Bank, number: int) -> list[str]:
    """Of drawn sheets: whole ones, half-filled ones and some with strobe readings, by turns."""
    cases = mixed_cases(bank, number)
    some = [cases[first : first + TOGETHER] for first in range(0, number, TOGETHER)]
    all_keys = number / _least_cpu_s(lambda: [assess_many(bank, together) for together in some])
    few_keys = number / _least_cpu_s(lambda: [_few_keys(bank, together) for together in some])
    alone = 50 / _least_cpu_s(lambda: [assess(bank, case) for case in cases[:50]])
    lines = [json.dumps(_line(case)) + "\n" for case in mixed_cases(bank, 4 * number)]
    command = _of_the_command(lines)
    peak_mb = _peak_mb([*lines, *_huge(lines[0])])
    return [
        f"speed: {all_keys:.0f} cases a second with all keys, {TOGETHER} at a time (to reach: 1000)",
        f"speed: {few_keys:.0f} cases a second with route, chances and groups only (to reach: 3000)",
        f"speed: {command:.0f} cases a second of the command, JSON in and out, its start left out (to reach: 1000)",
        f"speed: {alone:.0f} cases a second with all keys, each by itself, as pages ask",
        f"memory: {peak_mb:.0f} MB at most in the command, lines of 5 MB among the others (to reach: under 200)",
    ]


def mixed_cases(bank: Bank, number: int) -> list[Case]:
    chance = np.random.default_rng(3)
    return [_mixed(draw_sheet(bank, chance).case, place, chance) for place in range(number)]


def _mixed(case: Case, place: int, chance: np.random.Generator) -> Case:
    answers = dict(case.answers)
    if place % 2:
        kept = chance.choice(list(answers), size=int(chance.integers(1, len(answers))), replace=False)
        answers = {question: answers[question] for question in answers if question in kept}
    if place % 3:
        return replace(case, answers=answers)
    readings = {name: round(float(chance.uniform(12, 22)), 1) for name in ("strobe_idle", "strobe_peak")}
    machine = replace(case.machine, spec_btdc=17.0, spec_curve="fixed")
    return replace(case, answers={**answers, **readings}, machine=machine)


def _few_keys(bank: Bank, cases: list[Case]) -> None:
    model = model_of(bank)
    weights = np.array([gather(model, case).weight() for case in cases])
    for case, sums in zip(cases, sums_of(model, weights), strict=True):
        route_by(model, case, sums.odds(case.booked))
        sums.group_chances()
        sums.fault_chances().tolist()


def _least_cpu_s(work: Callable[[], object]) -> float:
    work()
    took = []
    for _ in range(PASSES):
        start = time.process_time()
        work()
        took.append(time.process_time() - start)
    return min(took)


def _of_the_command(lines: list[str]) -> float:
    """Cases a second of the command beyond those of its start."""
    one = min(_child_cpu_s(lines[:1]) for _ in range(PASSES))
    many = min(_child_cpu_s(lines) for _ in range(PASSES))
    return (len(lines) - 1) / (many - one)


def _huge(line: str) -> list[str]:
    """Lines of 5 MB: one that is answered, one that is none, one of a value that is not allowed."""
    filler = "x" * 5_000_000
    return [line.replace("{", f'{{"unknown": "{filler}", ', 1), filler + "\n", f'{{"case": "{filler}", "booked": 1}}\n']


def _peak_mb(lines: list[str]) -> float:
    """The most memory that the command held. A small process starts it: what starts one counts into what it held."""
    count = f"import resource, subprocess; subprocess.run({COMMAND}, stdout=subprocess.DEVNULL)"
    count += "; print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024)"
    given = "".join(lines).encode()
    return float(
        subprocess.run([sys.executable, "-c", count], input=given, capture_output=True, cwd=ROOT, check=True).stdout
    )


def _child_cpu_s(lines: list[str]) -> float:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(COMMAND, input="".join(lines).encode(), stdout=subprocess.DEVNULL, cwd=ROOT, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def _line(case: Case) -> dict[str, object]:
    plain = MachineFacts()
    machine = {key: value for key, value in vars(case.machine).items() if value != getattr(plain, key)}
    return {"case": case.case, "machine": machine, "booked": case.booked, "answers": dict(case.answers)}
