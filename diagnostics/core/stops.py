"""Do not run: rules checked before any cost. Full throttle could damage such an engine until the bench has looked at
it.

The rules and their limits are in the manual of `assess`; common practice, no source. Comparisons are exact in decimal.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from diagnostics.core.findings import PUMP, Case, MachineFacts, said
from diagnostics.core.judging.evidence import IDLE, PEAK
from diagnostics.core.remarks import LEAKS_PETROL, remark_finding

EARLY_DEG = 3  # degrees earlier than the spec above which a rule fires
DRIFT_DEG = 2  # degrees of advance with revs above which a rule fires; between 1 and 2, lamp and eye may explain it
SMALL_DRIFT_DEG = 1  # degrees of advance above which it fires too where the reading at peak revs is early as well
EARLY_AS_WELL_DEG = 1  # degrees earlier than the spec at peak


@dataclass(frozen=True)
class Fired:
    """A rule that fired: findings as "id=value"; unless_made_to_advance: a design that advances would be no fault."""

    findings: tuple[str, ...]
    unless_made_to_advance: bool = False


def fired_rules(case: Case) -> tuple[Fired, ...]:
    """Every rule that fires on the case, in the manual's order; empty if full throttle is no known risk."""
    fired = [Fired((remark_finding(LEAKS_PETROL),))] if LEAKS_PETROL in case.remarks else []
    fired += [Fired((f"{question}={answer}",)) for question, answer in _ALONE if case.answers.get(question) == answer]
    fired += _strobe_rules(case)
    if case.answers.get("fuel") == "wrong-mix" and _has_its_oil_in_the_petrol(case.machine):
        fired.append(Fired(("fuel=wrong-mix",)))
    lean = lean_signs(case)
    if len(lean) >= 2:
        fired.append(Fired(tuple(dict.fromkeys(finding for sign in lean for finding in sign))))
    return tuple(fired)


_ALONE = (("pinking", "yes"), ("nipped", "yes"), ("plug", "speckled"))


def _has_its_oil_in_the_petrol(machine: MachineFacts) -> bool:
    return not machine.is_four_stroke and machine.oiling != PUMP


def lean_signs(case: Case) -> list[tuple[str, ...]]:
    """The different signs of lean running in the case, each with its findings."""
    return [findings for sign in _LEAN_SIGNS if (findings := sign(case))]


def _answered(question: str, *answers: str) -> Callable[[Case], tuple[str, ...]]:
    def sign(case: Case) -> tuple[str, ...]:
        found = case.answers.get(question)
        given = found if isinstance(found, tuple) else (found,)
        return tuple(f"{question}={answer}" for answer in answers if answer in given)

    return sign


def _answered_at(question: str, answer: str, *places: str) -> Callable[[Case], tuple[str, ...]]:
    def sign(case: Case) -> tuple[str, ...]:
        where = case.answers.get("where")
        if case.answers.get(question) != answer or where not in places:
            return ()
        return (f"{question}={answer}", f"where={where}")

    return sign


_LEAN_SIGNS = (
    _answered("plug", "white"),
    _answered("changed", "jets-smaller"),
    _answered("changed", "exhaust", "air-filter"),
    _answered("falls_back", "hangs"),
    _answered_at("half_choke", "better", "top", "everywhere"),
    _answered("trouble", "runs-hot"),
    _answered_at("fuel_flow", "weak", "top"),
)


def _strobe_rules(case: Case) -> list[Fired]:
    """The rules on strobe readings. Without `spec_curve` the timing is assumed fixed, and the rule says what would
    excuse it.
    """
    idle, peak = exact_or_none(case.number(IDLE)), exact_or_none(case.number(PEAK))
    unless = case.machine.spec_curve is None
    fired = []
    if idle is not None and peak is not None and _advances(case.machine, idle, peak):
        fired.append(Fired((_finding(case, IDLE), _finding(case, PEAK)), unless))
    if peak is not None and _is_early_at_peak(case.machine, peak):
        fired.append(Fired((_finding(case, PEAK),), unless))
    if idle is not None and peak is None and _is_early_at_idle(case.machine, idle):
        fired.append(Fired((_finding(case, IDLE),), unless))
    return fired


def _advances(machine: MachineFacts, idle: Fraction, peak: Fraction) -> bool:
    change = own_change_deg(machine)
    if change is None and machine.spec_curve == "advancing":
        return False
    drift = peak - idle - (change or 0)  # against a retard of unknown size it is judged as on fixed timing
    return drift > DRIFT_DEG or (drift > SMALL_DRIFT_DEG and _is_early_at_peak(machine, peak, EARLY_AS_WELL_DEG))


def _is_early_at_peak(machine: MachineFacts, peak: Fraction, limit_deg: int = EARLY_DEG) -> bool:
    spec, change = exact_or_none(machine.spec_btdc), own_change_deg(machine)
    if spec is None or (change is None and machine.spec_curve == "advancing"):
        return False
    return peak - spec - (change or 0) > limit_deg


def _is_early_at_idle(machine: MachineFacts, idle: Fraction) -> bool:
    spec = exact_or_none(machine.spec_btdc)
    return spec is not None and machine.spec_curve in (None, "fixed") and idle - spec > EARLY_DEG


def own_change_deg(machine: MachineFacts) -> Fraction | None:
    """The design's own change from tickover to peak, degrees; None if it has one of unknown size."""
    if machine.spec_curve in (None, "fixed"):
        return Fraction(0)
    size = exact_or_none(machine.curve_deg)
    return size if size is None or machine.spec_curve == "advancing" else -size


def exact_or_none(found: float | None) -> Fraction | None:
    return None if found is None else Fraction(repr(found))


def _finding(case: Case, question: str) -> str:
    return f"{question}={said(case.answers[question])}"
