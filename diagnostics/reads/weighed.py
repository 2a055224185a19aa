"""The evidence behind a stored judgement, recomputed from its row, where more than its result is needed."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case, read_case
from diagnostics.core.judging.evidence import Evidence, gather
from diagnostics.core.judging.inference import Model, model_of
from diagnostics.models.judgements import KeptJudgement
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import visit_case
from diagnostics.reads.learning import bank_with
from garage.models.visits import Visit


@dataclass(frozen=True)
class Weighed:
    model: Model
    case: Case
    evidence: Evidence


def weighed(kept: KeptJudgement) -> Weighed | None:
    """With the counts of that judgement; None if it was made with another edition of the bank."""
    if kept.edition != the_bank().edition:
        return None
    bank = bank_with(kept.learned)
    return _weighed(bank, read_case(bank, kept.case))


def weighed_today(visit: Visit) -> Weighed:
    """From the current findings, with today's bank and counts."""
    known = visit_case(visit)
    return _weighed(known.bank, known.case)


def _weighed(bank: Bank, case: Case) -> Weighed:
    model = model_of(bank)
    return Weighed(model, case, gather(model, case))
