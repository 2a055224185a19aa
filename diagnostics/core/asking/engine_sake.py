"""What an answer is worth for the engine's sake: the chance that it stops a machine that must not be run."""

from __future__ import annotations

from dataclasses import replace

from diagnostics.core.asking.worth import answer_rows, is_open
from diagnostics.core.bank.bank import NUMBER, Question
from diagnostics.core.findings import Answer, Case
from diagnostics.core.judging.evidence import Evidence
from diagnostics.core.judging.inference import Model
from diagnostics.core.stops import fired_rules


def for_the_engines_sake(model: Model, case: Case, evidence: Evidence) -> str | None:
    """The open question most worth asking because an answer may fire a do-not-run rule; None if none is worth it.

    Its worth in pence is the chance of such an answer, times what stopping in time is worth (the bank's
    `stopped_in_time_pence`), less the cost of asking. The cost of the routes does not include this, because the rule
    comes before them. Strobe readings are left out: few owners have a strobe, and asking costs more than it could save.
    """
    worth = {
        question.id: _chance_of_a_stop(model, case, evidence, question) * model.bank.routing.stopped_in_time_pence
        - question.cost_pence
        for question in model.bank.questions
        if question.kind != NUMBER and is_open(question, case)
    }
    best = max(worth, key=lambda question: worth[question], default=None)
    return best if best is not None and worth[best] > 0 else None


def _chance_of_a_stop(model: Model, case: Case, evidence: Evidence, question: Question) -> float:
    stopping = [place for place, answer in enumerate(question.answer_ids) if _stops(case, question, answer)]
    if not stopping:
        return 0.0
    rows = answer_rows(model, case, question)
    return 0.0 if rows is None else float((rows[stopping] @ evidence.weight()).sum())


def _stops(case: Case, question: Question, answer: str) -> bool:
    given: Answer = (answer,) if question.nothing else answer
    return bool(fired_rules(replace(case, answers={**case.answers, question.id: given})))
