"""Looks two questions ahead: two answers together may change the route where no single one could."""

from __future__ import annotations

import numpy as np

from diagnostics.core.arrays import Float64s, Indices
from diagnostics.core.asking.worth import answer_rows, is_open
from diagnostics.core.findings import Case
from diagnostics.core.judging.evidence import Evidence
from diagnostics.core.judging.inference import Model
from diagnostics.core.judging.routing import cheapest_pence, settled_share, spoils_mask


def best_of_two_steps(model: Model, case: Case, evidence: Evidence) -> str | None:
    """The open question worth most if the best second one may follow, or None if none is worth asking.

    After each first answer, either stop or ask the second question that pays best. Answers are independent given the
    set of faults. The share of calls that settle the matter is taken as it is now.
    """
    weight = evidence.weight()
    settled = settled_share(model, case)
    now = float(
        cheapest_pence(case.costs, settled, np.array([1.0]), np.array([weight @ spoils_mask(model, case.booked)]))[0]
    )
    questions = [q for q in model.bank.questions if is_open(q, case) and q.cost_pence < now]
    found = [(question, answer_rows(model, case, question)) for question in questions]
    usable = [(question, rows) for question, rows in found if rows is not None]
    if not usable:
        return None
    rows = np.vstack([rows for _, rows in usable])  # (answers, sets)
    starts = np.cumsum([0] + [len(rows) for _, rows in usable])[:-1]
    asking = np.array([question.cost_pence for question, _ in usable])
    second_best = _after_one_answer(model, case, settled, weight, rows, starts, asking)
    worth = now - np.add.reduceat(second_best, starts) - asking
    best = int(np.argmax(worth))
    return usable[best][0].id if worth[best] > 0 else None


def _after_one_answer(
    model: Model, case: Case, settled: float, weight: Float64s, rows: Float64s, starts: Indices, asking: Float64s
) -> Float64s:
    """(answers,) expected pence times the chance of the answer, with the best second question after it, or none."""
    spoils = spoils_mask(model, case.booked)
    weighted = rows * weight
    chance, spoilt = weighted.sum(axis=1), weighted @ spoils
    both, both_spoilt = weighted @ rows.T, (weighted * spoils) @ rows.T
    costs = np.add.reduceat(cheapest_pence(case.costs, settled, both, both_spoilt), starts, axis=1)
    costs += chance[:, None] * asking
    own = np.repeat(np.arange(len(starts)), np.diff(np.append(starts, len(rows))))
    costs[np.arange(len(rows)), own] = np.inf  # a question is not asked twice
    return np.asarray(np.minimum(cheapest_pence(case.costs, settled, chance, spoilt), costs.min(axis=1)))
