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

from diagnostics.core.assess import assess
from diagnostics.core.bank import Bank
from diagnostics.core.evidence import gather
from diagnostics.core.findings import Case, Machine
from diagnostics.core.inference import fault_chances, model_of
from diagnostics.core.reasons import group_chances
from diagnostics.core.routing import choose_route
from tests.diagnostics.core.drawn_sheets import draw_sheet

ROOT = Path(__file__).resolve().parents[2]
PASSES = 5


def speed_lines(bank: Bank, number: int) -> list[str]:
    """Of drawn sheets: whole ones, half-filled ones and some with strobe readings, by turns."""
    cases = mixed_cases(bank, number)
    all_keys = number / _least_cpu_s(lambda: [assess(bank, case) for case in cases])
    few_keys = number / _least_cpu_s(lambda: [_few_keys(bank, case) for case in cases])
    command, peak_mb = _command(cases)
    return [
        f"speed: {all_keys:.0f} cases a second with all keys (to reach: 1000)",
        f"speed: {few_keys:.0f} cases a second with route, chances and groups only (to reach: 3000)",
        f"speed: {command:.0f} cases a second of the command, lines read and written, its start left out",
        f"memory: {peak_mb:.0f} MB at most in the command (to stay under: 200)",
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


def _few_keys(bank: Bank, case: Case) -> None:
    model = model_of(bank)
    weight = gather(model, case).weight()
    choose_route(model, case, weight)
    group_chances(model, weight)
    fault_chances(model, weight).tolist()


def _least_cpu_s(work: Callable[[], object]) -> float:
    work()
    took = []
    for _ in range(PASSES):
        start = time.process_time()
        work()
        took.append(time.process_time() - start)
    return min(took)


def _command(cases: list[Case]) -> tuple[float, float]:
    """Cases a second of the command beyond those of its start, and its peak memory, MB."""
    lines = [json.dumps(_line(case)) + "\n" for case in cases]
    one = min(_child_cpu_s(lines[:1]) for _ in range(PASSES))
    many = min(_child_cpu_s(lines) for _ in range(PASSES))
    return (len(lines) - 1) / (many - one), resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024


def _child_cpu_s(lines: list[str]) -> float:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), "assess", "-"],
        input="".join(lines).encode(),
        stdout=subprocess.DEVNULL,
        cwd=ROOT,
        check=True,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def _line(case: Case) -> dict[str, object]:
    plain = Machine()
    machine = {key: value for key, value in vars(case.machine).items() if value != getattr(plain, key)}
    return {"case": case.case, "machine": machine, "booked": case.booked, "answers": dict(case.answers)}
