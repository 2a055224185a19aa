"""Strobe readings of one machine: judged against its known figures, and described for those who cannot see the plot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnostics.core.findings import MachineFacts
from diagnostics.core.timing.strobe import StrobeJudgement, judge_strobe
from garage.core.errors import BadInput

CHANGE = "The machine's own timing change"


@dataclass(frozen=True)
class Marks:
    """judged: verdict and figures. is_spec_known: if not, the first reading was used as the spec, so the drift is
    judged but the static timing is not. curve, change_deg: the design's own, as in `judge_strobe`."""

    judged: StrobeJudgement
    is_spec_known: bool
    curve: str
    change_deg: float

    @property
    def verdict_words(self) -> str:
        return self.judged.verdict.replace("-", " ")


def judge_marks(machine: MachineFacts, readings: Sequence[tuple[float, float]]) -> Marks:
    """Judged against the machine's own spec and curve. readings: pairs (rpm, degrees BTDC), two or more.

    Raises BadInput if the machine changes its timing by an unknown amount, and where `judge_strobe` does.

    >>> judge_marks(MachineFacts(spec_btdc=17.0), [(1400, 14), (9000, 19.5)]).verdict_words
    'advances'
    >>> judge_marks(MachineFacts(), [(1400, 14), (9000, 14.5)]).judged.verdict
    'in-spec'
    """
    curve = machine.spec_curve or "fixed"
    if curve != "fixed" and machine.curve_deg is None:
        raise BadInput(CHANGE, None, "its size in degrees, or the strobe marked as not seen")
    change_deg = 0.0 if curve == "fixed" else float(machine.curve_deg or 0)
    spec = min(readings)[1] if machine.spec_btdc is None else machine.spec_btdc
    judged = judge_strobe(spec, [list(pair) for pair in readings], curve, change_deg)
    return Marks(judged, machine.spec_btdc is not None, curve, change_deg)


def marks_in_words(marks: Marks) -> str:
    """The numbers of the plot as text, for those who cannot see it.

    >>> print(marks_in_words(judge_marks(MachineFacts(spec_btdc=17.0), [(1400, 14), (9000, 19.5)])))
    Timing against revs: 14° at 1400 rpm (spec 17°); 19.5° at 9000 rpm (spec 17°). From tickover to peak it \
advances 5.5°. Verdict: advances.
    """
    spec = "spec" if marks.is_spec_known else "taken as spec:"
    read = "; ".join(f"{r.deg:g}° at {r.rpm:g} rpm ({spec} {r.spec_deg:g}°)" for r in marks.judged.readings)
    return f"Timing against revs: {read}. {drift_in_words(marks)} Verdict: {marks.verdict_words}."


def drift_in_words(marks: Marks) -> str:
    """How the timing moves from tickover to peak, and how much of that the design intends, if any."""
    drift = round(marks.judged.drift_deg, 6)
    moves = f"{'advances' if drift > 0 else 'retards'} {abs(drift):g}°" if drift else "does not move"
    said = f"From tickover to peak it {moves}"
    if marks.curve == "fixed":
        return f"{said}."
    own = "advance" if marks.curve == "advancing" else "retard"
    return f"{said}. By design it should {own} {marks.change_deg:g}°."
