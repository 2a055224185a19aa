"""Do not run: rules checked before any cost. Full throttle could damage such an engine until the bench has looked at
it.

The rules and their limits are in the manual of `assess`; common practice, no source. Comparisons are exact in decimal.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from diagnostics.core.findings import Case, MachineFacts, said
from diagnostics.core.judging.evidence import IDLE, PEAK

EARLY_DEG = 3  # degrees earlier than the spec above which a rule fires
DRIFT_DEG = 1  # degrees of advance with revs: the strobe's `advances`


@dataclass(frozen=True)
class Fired:
    """A rule that fired: findings as "id=value"; unless_made_to_advance: a design that advances would be no fault."""

    findings: tuple[str, ...]
    unless_made_to_advance: bool = False


def fired_rules(case: Case) -> tuple[Fired, ...]:
    """Every rule that fires on the case, in the manual's order; empty if full throttle is no known risk."""
    fired = [Fired((f"{question}={answer}",)) for question, answer in _ALONE if case.answers.get(question) == answer]
    fired += _strobe_rules(case)
    if case.answers.get("fuel") == "wrong-mix" and not case.machine.is_four_stroke:
        fired.append(Fired(("fuel=wrong-mix",)))
    lean = lean_signs(case)
    if len(lean) >= 2:
        fired.append(Fired(tuple(dict.fromkeys(finding for sign in lean for finding in sign))))
    return tuple(fired)


_ALONE = (("pinking", "yes"), ("nipped", "yes"), ("plug", "speckled"))


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
    idle, peak = _exact(case.number(IDLE)), _exact(case.number(PEAK))
    unless = case.machine.spec_curve is None
    fired = []
    if idle is not None and peak is not None and _advances(case.machine, peak - idle):
        fired.append(Fired((_finding(case, IDLE), _finding(case, PEAK)), unless))
    if peak is not None and _is_early_at_peak(case.machine, peak):
        fired.append(Fired((_finding(case, PEAK),), unless))
    if idle is not None and peak is None and _is_early_at_idle(case.machine, idle):
        fired.append(Fired((_finding(case, IDLE),), unless))
    return fired


def _advances(machine: MachineFacts, drift: Fraction) -> bool:
    change = _own_change(machine)
    if change is None:  # it changes by an unknown amount: only a drift the other way is judged, as on fixed timing
        return machine.spec_curve == "retarding" and drift > DRIFT_DEG
    return drift - change > DRIFT_DEG


def _is_early_at_peak(machine: MachineFacts, peak: Fraction) -> bool:
    spec, change = _exact(machine.spec_btdc), _own_change(machine)
    if spec is None or (change is None and machine.spec_curve == "advancing"):
        return False
    return peak - spec - (change or 0) > EARLY_DEG


def _is_early_at_idle(machine: MachineFacts, idle: Fraction) -> bool:
    spec = _exact(machine.spec_btdc)
    return spec is not None and machine.spec_curve in (None, "fixed") and idle - spec > EARLY_DEG


def _own_change(machine: MachineFacts) -> Fraction | None:
    """The design's own change from tickover to peak, degrees; None if it has one of unknown size."""
    if machine.spec_curve in (None, "fixed"):
        return Fraction(0)
    size = _exact(machine.curve_deg)
    return size if size is None or machine.spec_curve == "advancing" else -size


def _exact(found: float | None) -> Fraction | None:
    return None if found is None else Fraction(repr(found))


def _finding(case: Case, question: str) -> str:
    return f"{question}={said(case.answers[question])}"
