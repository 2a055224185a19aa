"""A check sheet past its time: what it taught stays without a name, the rest goes."""

from __future__ import annotations

from diagnostics.changes import learned_sums
from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.learning import Reopening
from diagnostics.models.put_right import PutRight
from diagnostics.models.sheets import Finding, RemarkPutRight, Sheet
from diagnostics.reads.closed_visits import unnamed_case_of
from garage.core.errors import Refused
from garage.models.visits import Visit


def forget_sheet(visit: Visit) -> dict[str, int]:
    """Within the change that holds the visit's lock. Refused while its card is open again: it may teach yet."""
    if Reopening.objects.filter(closing__visit=visit, closed_again_at=None).exists():
        raise Refused(f"The card of visit {visit.number} is open again: its sheet stays until it is closed.")
    case = unnamed_case_of(visit)
    if case is not None:
        learned_sums.leave_unnamed(visit, case)
    many = Sheet.objects.filter(visit=visit).count()
    for model in (Sheet, Finding, PutRight, RemarkPutRight, KeptJudgement):
        model._default_manager.filter(visit=visit).delete()
    return {"check sheets": many}
