"""What was heard in a few clips, kept to show that a change of the code does not change the hearing.

    .venv/bin/python -m tests.revouts.kept

writes kept.jsonl again. Do that only where the hearing was changed on purpose. Each line names its clip by plan, kind
and number, and the clips are made again each time. Only every tenth speed is kept.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from diagnostics.hearing.core.hear import hear
from diagnostics.hearing.core.heard_words import listen_line
from tests.revouts.listened import samples_of
from tests.revouts.sets import CHOOSE, FIT, KINDS, REPORT, Plan, clip

PATH = Path(__file__).with_suffix(".jsonl")
PLANS = {plan.name: plan for plan in (FIT, CHOOSE, REPORT)}
EVERY = 10


def named() -> Iterator[tuple[Plan, str, int]]:
    """One clip of every kind from each plan."""
    for place, plan in enumerate(PLANS.values()):
        yield from ((plan, kind, place) for kind in KINDS)


def heard_in(plan: Plan, kind: str, number: int) -> dict[str, Any]:
    """The object that `listen` writes, without the clip's name and with fewer speeds."""
    made = clip(plan, kind, number)
    heard = listen_line("", hear(samples_of(made), made.fires_per_turn))
    del heard["clip"]
    trace = heard["trace"]
    return heard | {"trace": trace | {"rpm": trace["rpm"][::EVERY]}}


def kept() -> list[tuple[Plan, str, int, dict[str, Any]]]:
    lines = [json.loads(line) for line in PATH.read_text(encoding="utf-8").splitlines()]
    return [(PLANS[line["plan"]], line["kind"], line["number"], line["heard"]) for line in lines]


if __name__ == "__main__":
    lines = [
        {"plan": plan.name, "kind": kind, "number": number, "heard": heard_in(plan, kind, number)}
        for plan, kind, number in named()
    ]
    PATH.write_text("".join(json.dumps(line) + "\n" for line in lines), encoding="utf-8")
