"""What the bench has found of a visit, and what is left to do: for its card, and for the minutes it still needs."""

from __future__ import annotations

from collections.abc import Sequence

from diagnostics.core.bench.footing import OnTheBench
from diagnostics.core.bench.outcomes import Found, Left, StepOutcome, what_is_left
from diagnostics.core.findings import Case
from diagnostics.core.stops import fired_rules
from diagnostics.models.bench import BenchOutcome
from diagnostics.models.causes import Cause
from diagnostics.reads.weighed import Weighed


def found_of(outcomes: Sequence[BenchOutcome], causes: Sequence[Cause]) -> Found:
    """Those that stand."""
    return Found(
        outcomes=tuple(StepOutcome(row.step, row.fault) for row in outcomes),
        causes=frozenset(row.fault for row in causes if is_known(row) and not row.found_good),
        good=frozenset(row.fault for row in causes if is_known(row) and row.found_good),
    )


def is_known(cause: Cause) -> bool:
    """Whether the row counts for a whole fault. An OK with a remark, such as "as far as the plug goes", does not."""
    return bool(cause.fault) and not (cause.found_good and cause.words)


def left_after(known: Weighed, found: Found) -> Left:
    return what_is_left(known.model, known.evidence.log_weight, found, _standing(known.case))


def _standing(case: Case) -> OnTheBench:
    stops = dict.fromkeys(finding for rule in fired_rules(case) for finding in rule.findings)
    return OnTheBench(case.machine.traits, tuple(stops))
