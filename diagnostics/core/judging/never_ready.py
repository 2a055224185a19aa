"""What keeps a machine off the rollers until somebody has asked or looked, whatever the costs say.

The rules are in the manual of `assess`; common practice, no source. Comparisons are exact in decimal.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from diagnostics.core.findings import BREAKS_DOWN, Case, MachineFacts, said
from diagnostics.core.judging.evidence import IDLE, PEAK
from diagnostics.core.remarks import BRAKES_OR_TYRES, NO_EXHAUST, NOT_RUN_IN, remark_finding
from diagnostics.core.stops import lean_signs, own_change_deg
from diagnostics.core.timing.strobe import PASSING_VERDICTS, judge_strobe

SURELY_HEARD = 0.8  # confidence, 0 to 1, from which a clip that breaks down keeps it off the rollers
ADVANCES = "advances"
LOW_AND_HIGH = (1, 2)  # any two speeds: with two readings the verdict does not depend on them


@dataclass(frozen=True)
class KeptOff:
    """findings: what keeps it off, "id=value", in the manual's order; empty if nothing was answered.

    asks_first: it must be rung about, whatever that costs. unless_made_to_advance: the strobe's verdict is `advances`
    on a machine whose timing curve is unknown and was assumed fixed.
    """

    findings: tuple[str, ...]
    asks_first: bool
    unless_made_to_advance: bool = False


def kept_off(case: Case) -> KeptOff | None:
    """None if the costs may choose the rollers. A bench visit has no roller slot to keep."""
    if case.booked == "bench":
        return None
    found = tuple(dict.fromkeys(finding for rule in _RULES for finding in rule(case)))
    asks_first = NOT_RUN_IN in case.remarks or not case.answers
    if not found and not asks_first:
        return None
    unless = case.machine.spec_curve is None and strobe_verdict(case) == ADVANCES
    return KeptOff(found, asks_first, unless)


def strobe_verdict(case: Case) -> str | None:
    """The verdict of `timing` on the two readings; None if one is missing or the verdict needs a size that is unknown.

    Without a spec the reading at tickover is taken for it. Against a design of unknown size, a drift the other way is
    judged as on fixed timing.
    """
    idle, peak, machine = case.number(IDLE), case.number(PEAK), case.machine
    if idle is None or peak is None:
        return None
    curve = machine.spec_curve or "fixed"
    size = machine.curve_deg or 0.0
    if own_change_deg(machine) is None:
        if _goes_the_designs_way(machine, peak - idle):
            return None
        curve = "fixed"
    spec = idle if machine.spec_btdc is None else machine.spec_btdc
    readings = list(zip(LOW_AND_HIGH, (idle, peak), strict=True))
    return judge_strobe(spec, readings, curve, 0.0 if curve == "fixed" else size).verdict


def _goes_the_designs_way(machine: MachineFacts, drift_deg: float) -> bool:
    return drift_deg < 0 if machine.spec_curve == "retarding" else drift_deg > 0


def _heard_to_break_down(case: Case) -> tuple[str, ...]:
    heard = case.heard
    is_sure = heard is not None and heard.verdict == BREAKS_DOWN and heard.confidence >= SURELY_HEARD
    return (f"heard={BREAKS_DOWN}",) if is_sure else ()


def _fails_by_the_strobe(case: Case) -> tuple[str, ...]:
    verdict = strobe_verdict(case)
    if verdict is None or verdict in PASSING_VERDICTS:
        return ()
    return tuple(f"{question}={said(case.answers[question])}" for question in (IDLE, PEAK))


def _lean_on_a_power_run(case: Case) -> tuple[str, ...]:
    signs = lean_signs(case) if case.booked == "power-run" else []
    return tuple(finding for sign in signs for finding in sign)


def _remarked(case: Case) -> tuple[str, ...]:
    keeping = (NOT_RUN_IN, NO_EXHAUST, BRAKES_OR_TYRES)
    return tuple(remark_finding(remark) for remark in case.remarks if remark in keeping)


_RULES: tuple[Callable[[Case], tuple[str, ...]], ...] = (
    _heard_to_break_down,
    _fails_by_the_strobe,
    _lean_on_a_power_run,
    _remarked,
)
