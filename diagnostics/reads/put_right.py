"""What was put right of the findings as they stand."""

from __future__ import annotations

from collections.abc import Mapping

from diagnostics.models.put_right import PutRight
from diagnostics.models.sheets import Finding
from garage.core import states
from garage.models.visits import Visit


def put_right_of(visit: Visit, findings: Mapping[str, Finding]) -> dict[str, PutRight]:
    """By question. An answer given anew afterwards counts again. Before it was ever here nothing can be put right."""
    if not findings or (visit.state in states.COMING and visit.arrived_at is None):
        return {}
    rows = PutRight.objects.filter(visit=visit, withdrawn_at=None).select_related("by")
    return {row.question: row for row in rows if _still_fits(row, findings.get(row.question))}


def _still_fits(row: PutRight, finding: Finding | None) -> bool:
    return finding is not None and finding.answer == row.answer and finding.at <= row.at
