"""Banks of a few faults as text, for examples whose answer is known from outside."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence

from diagnostics.core.bank.bank import Bank
from diagnostics.core.bank.reader import read_bank
from diagnostics.core.findings import Case, Costs, MachineFacts

NO_SOURCE = 'source = "made for a test"'
REST = f"""
[routing]
{NO_SOURCE}
settled_by_call = 0.4
settled_by_call_at_most = 0.8
settled_more_by_a_contradiction = 0.1
merely_rich = 0.5
stopped_in_time_pence = 1500
[routing.costs]
slot_lost = 9000
bench_check = 2500
call = 600
bench_minute = 75
[heard]
{NO_SOURCE}
confidence_at_most = 0.97
limiter_from = 0.95
limiter_not_below = 0.90
weight_without_design_rpm = 0.5
own_verdict_confidence = 0.95
revs_out_from = 0.90
revs_out_not_below = 0.80
[strobe]
{NO_SOURCE}
reading_error_deg = 0.7
wild_reading = 0.02
lowest_deg = -10
highest_deg = 60
eases_back_by_design = 0.25
eases_back_deg = {{ mean = -6, spread = 4 }}
[strobe.offset]
[strobe.drift]
[strobe.healthy]
offset_spread = 0.5
drift_mean = 0
drift_spread = 0.5
"""


def small_bank_text(
    chances: Mapping[str, float],
    questions: Mapping[str, tuple[Mapping[str, float], Mapping[str, Mapping[str, float]]]],
    minutes: Mapping[str, float] | None = None,
) -> str:
    """questions: id to (background by answer, shows by fault); minutes: of each fault's step."""
    lines = ['edition = "small"', "[model]", NO_SOURCE, f"most_at_once = {min(len(chances), 6)}"]
    lines += ["equivalent_cards = 200", "ignition_worth_a_caution = 0.3", "fault_worth_a_caution = 0.15", REST]
    for fault, chance in chances.items():
        lines += [f"[fault.{fault}]", 'group = "ignition"', f'say = "{fault}"', 'spoils = ["set-up"]', NO_SOURCE]
        lines += [f"chance = {chance!r}", f"[step.{fault}]", f'do = "{fault}"', NO_SOURCE]
        lines += [f"minutes = {(minutes or {}).get(fault, 10)!r}", f"clears = {{ {fault} = 1.0 }}"]
    for question, (background, shows) in questions.items():
        lines += [f"[question.{question}]", f'ask = "{question}?"', 'kind = "one"', NO_SOURCE, "cost_pence = 1"]
        lines += ["answers = { " + ", ".join(f'{a} = "{a}"' for a in background) + " }"]
        lines += ["background = " + _inline(background), f"[question.{question}.shows]"]
        lines += [f"{fault} = {_inline(links)}" for fault, links in shows.items()]
    return "\n".join(lines)


def small_bank(*args: object, **kwargs: object) -> Bank:
    return read_bank(small_bank_text(*args, **kwargs))  # type: ignore[arg-type]


def case_of(bank: Bank, answers: Mapping[str, str | float | Sequence[str]], **more: object) -> Case:
    """A set-up visit with these answers; lists become tuples."""
    kept = {q: tuple(a) if isinstance(a, list | tuple) else a for q, a in answers.items()}
    whole = {"case": "x", "machine": MachineFacts(), "booked": "set-up", "costs": Costs(**bank.routing.costs)} | more
    return Case(answers=kept, **whole)  # type: ignore[arg-type]


def _inline(numbers: Mapping[str, float]) -> str:
    return "{ " + ", ".join(f"{json.dumps(key)} = {value!r}" for key, value in numbers.items()) + " }"
