"""Closed visits as values, valid with no argument: a test states only what it is about."""

from __future__ import annotations

from typing import Any

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case
from diagnostics.core.judging.cells import TOWARDS, group_masks, sums_of
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.reasons import reasons
from diagnostics.core.judging.routing import spoils_mask
from diagnostics.core.learning.closed_visits import ClosedVisit, Judged

SOUND = {"ignition": 0.1, "fuel-air": 0.1, "mechanical": 0.1, "nothing-wrong": 0.8}


def judged(**given: Any) -> Judged:
    values = {"route": "roller-ready", "chances": {}, "groups": SOUND, "spoilt_chance": 0.1}
    return Judged(**{**values, "because": (), "answers": {}} | given)


def closed(*causes: str, **given: Any) -> ClosedVisit:
    """A set-up of 90 minutes that kept its time and went on the rollers."""
    values = {"number": 1, "booked": "set-up", "roller_minutes": 90, "ran": True, "taken": "", "judged": judged()}
    return ClosedVisit(causes=frozenset(causes), **values | given)


def judged_by(bank: Bank, case: Case, causes: frozenset[str]) -> ClosedVisit:
    """A visit judged by the bank, but for route and bench order."""
    model = model_of(bank)
    evidence = gather(model, case)
    weight = evidence.weight()
    answers = {q: list(a) if isinstance(a, tuple) else a for q, a in case.answers.items()}
    made = judged(
        chances=dict(zip(bank.fault_ids, (weight @ model.has).tolist(), strict=True)),
        groups=dict(zip(TOWARDS, (weight @ group_masks(model)).tolist(), strict=True)),
        spoilt_chance=float(weight @ spoils_mask(model, case.booked)),
        because=reasons(evidence, *sums_of(model, weight[None])),
        answers=answers,
    )
    return closed(*causes, booked=case.booked, judged=made)
