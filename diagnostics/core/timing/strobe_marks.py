"""Strobe readings of one machine: judged against what is known of it, and told in words for those who cannot see it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnostics.core.findings import Machine
from diagnostics.core.timing.strobe import StrobeJudgement, judge_strobe
from garage.core.errors import BadInput

CHANGE = "The machine's own timing change"


@dataclass(frozen=True)
class Marks:
    """judged: verdict and figures. is_spec_known: else the first reading stood for the spec, so that the drift is
    judged and the static timing is not. curve, change_deg: the design's own, as in `judge_strobe`."""

    judged: StrobeJudgement
    is_spec_known: bool
    curve: str
    change_deg: float

    @property
    def verdict_words(self) -> str:
        return self.judged.verdict.replace("-", " ")

    @property
    def own_drift_deg(self) -> float:
        """Drift in degrees with the design's own change taken off: what the verdict goes by."""
        return self.judged.readings[-1].off_deg - self.judged.readings[0].off_deg


def judge_marks(machine: Machine, readings: Sequence[tuple[float, float]]) -> Marks:
    """Judged against the machine's own spec and curve. readings: pairs (rpm, degrees BTDC), two or more.

    Raises BadInput where the machine changes its timing by a size that is not known, and as `judge_strobe` does.

    >>> judge_marks(Machine(spec_btdc=17.0), [(1400, 14), (9000, 19.5)]).verdict_words
    'advances'
    >>> judge_marks(Machine(), [(1400, 14), (9000, 14.5)]).judged.verdict
    'in-spec'
    """
    curve = machine.spec_curve or "fixed"
    if curve != "fixed" and machine.curve_deg is None:
        raise BadInput(CHANGE, None, "its size in degrees, or the strobe left out as not seen")
    change_deg = 0.0 if curve == "fixed" else float(machine.curve_deg or 0)
    spec = min(readings)[1] if machine.spec_btdc is None else machine.spec_btdc
    judged = judge_strobe(spec, [list(pair) for pair in readings], curve, change_deg)
    return Marks(judged, machine.spec_btdc is not None, curve, change_deg)


def marks_in_words(marks: Marks) -> str:
    """The picture's numbers as text, for those who do not see it.

    >>> print(marks_in_words(judge_marks(Machine(spec_btdc=17.0), [(1400, 14), (9000, 19.5)])))
    Timing over revs: 14° at 1400 rpm, where 17° is its own; 19.5° at 9000 rpm, where 17° is its own. From tickover to \
peak it comes 5.5° earlier. Verdict: advances.
    """
    own = "is its own" if marks.is_spec_known else "is taken for its own"
    read = "; ".join(f"{r.deg:g}° at {r.rpm:g} rpm, where {r.spec_deg:g}° {own}" for r in marks.judged.readings)
    return f"Timing over revs: {read}. {drift_in_words(marks)} Verdict: {marks.verdict_words}."


def drift_in_words(marks: Marks) -> str:
    """How the timing moves from tickover to peak, the design's own change named where there is one."""
    drift = round(marks.judged.drift_deg, 6)
    moves = f"comes {abs(drift):g}° {'earlier' if drift > 0 else 'later'}" if drift else "stays where it is"
    said = f"From tickover to peak it {moves}"
    if marks.curve == "fixed":
        return f"{said}."
    own = "earlier" if marks.curve == "advancing" else "later"
    return f"{said}; {marks.change_deg:g}° {own} is its own design."
