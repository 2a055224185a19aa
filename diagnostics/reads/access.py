"""Look-ups of one row of a visit's diagnosis. An unknown id and another visit's id both give 404."""

from __future__ import annotations

from django.shortcuts import get_object_or_404

from diagnostics.models.bench import BenchOutcome
from diagnostics.models.causes import Cause
from diagnostics.models.gates import Gate
from diagnostics.models.judgements import KeptJudgement
from garage.models.visits import Visit


def judgement_of(visit: Visit, judgement_id: int) -> KeptJudgement:
    return get_object_or_404(KeptJudgement, visit=visit, pk=judgement_id)


def cause_of(visit: Visit, cause_id: int) -> Cause:
    return get_object_or_404(Cause, visit=visit, pk=cause_id)


def outcome_of(visit: Visit, outcome_id: int) -> BenchOutcome:
    return get_object_or_404(BenchOutcome.objects.select_related("visit"), visit=visit, pk=outcome_id)


def gate_with_readings_or_404(gate_id: int) -> Gate:
    rows = Gate.objects.select_related("visit__machine__kind").exclude(strobe_verdict="")
    return get_object_or_404(rows, pk=gate_id)
