"""A machine's timing: strobe readings at its gates, and its degrees in millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.http import Http404

from diagnostics.core.findings import MachineFacts, read_machine
from diagnostics.core.timing.degrees import DegreeRow, Engine, useful_rows
from diagnostics.core.timing.strobe import PASSING_VERDICTS
from diagnostics.core.timing.strobe_marks import Marks, drift_in_words, judge_marks, marks_in_words
from diagnostics.core.timing.strobe_words import STROBE_CARE
from diagnostics.models.gates import Gate
from diagnostics.reads.access import gate_with_readings_or_404
from diagnostics.reads.gates import gates_with_readings
from diagnostics.reads.machine_facts import machine_facts
from garage.core.errors import BadInput
from garage.models import owners

LENGTHS = {"stroke_mm": "its stroke", "rod_mm": "its rod", "flywheel_mm": "its flywheel"}


@dataclass(frozen=True)
class ReadingLine:
    rpm: float
    deg: float
    spec_deg: float
    off: str


@dataclass(frozen=True)
class StrobeShown:
    """gate: whose readings; marks: None if they cannot be judged, and then trouble says why. before: the gate whose
    readings are drawn thin behind them. said_then: the verdict at the gate, if today's measures give another.
    """

    gate: Gate
    before: Gate | None
    marks: Marks | None
    trouble: str
    lines: tuple[ReadingLine, ...]
    alt: str
    drift: str
    said_then: str
    care: tuple[str, ...] = STROBE_CARE

    @property
    def needs_a_hand(self) -> bool:
        return self.marks is not None and self.marks.judged.verdict not in PASSING_VERDICTS


@dataclass(frozen=True)
class DegreesShown:
    """rows: empty if no measure is known or usable, and then trouble says why. missing: unknown measures."""

    machine: owners.Machine
    engine: Engine
    rows: tuple[DegreeRow, ...]
    missing: tuple[str, ...]
    trouble: str


def drawn(gate_id: int) -> tuple[Marks, Marks | None]:
    """The readings of a gate and the ones before, for the chart."""
    gate = gate_with_readings_or_404(gate_id)
    machine = core_machine(gate.visit.machine)
    marks, _ = _marks(machine, gate)
    if marks is None:
        raise Http404
    before = _before(gates_with_readings(gate.visit.machine), gate)
    return marks, _marks(machine, before)[0] if before else None


def strobe_shown(machine: owners.Machine, gates: Sequence[Gate], gate: Gate | None = None) -> StrobeShown | None:
    """The readings of that gate, or of the newest. gates: the machine's gates with readings, newest first."""
    shown = next((one for one in gates if gate is None or one.pk == gate.pk), None)
    if shown is None:
        return None
    marks, trouble = _marks(core_machine(machine), shown)
    if marks is None:
        return StrobeShown(shown, None, None, trouble, (), "", "", "")
    before = _before(gates, shown)
    return StrobeShown(
        gate=shown,
        before=before,
        marks=marks,
        trouble="",
        lines=tuple(ReadingLine(r.rpm, r.deg, r.spec_deg, _off_words(r.off_deg)) for r in marks.judged.readings),
        alt=marks_in_words(marks) + _before_words(core_machine(machine), before),
        drift=drift_in_words(marks),
        said_then="" if shown.strobe_verdict == marks.judged.verdict else shown.verdict_words,
    )


def core_machine(machine: owners.Machine) -> MachineFacts:
    return read_machine(machine_facts(machine))


def degrees_shown(machine: owners.Machine) -> DegreesShown:
    engine = engine_of(machine)
    missing = tuple(words for name, words in LENGTHS.items() if getattr(engine, name) is None)
    if not engine.has_piston and engine.flywheel_mm is None:
        return DegreesShown(machine, engine, (), missing, "")
    try:
        return DegreesShown(machine, engine, useful_rows(engine), missing, "")
    except BadInput as error:
        return DegreesShown(machine, engine, (), missing, error.sentence)


def engine_of(machine: owners.Machine) -> Engine:
    """The machine's own measures take precedence over those of its kind."""
    known = core_machine(machine)
    change = known.curve_deg or 0.0
    return Engine(
        stroke_mm=_length(machine, "stroke_mm"),
        rod_mm=_length(machine, "rod_mm"),
        flywheel_mm=_length(machine, "flywheel_mm"),
        spec_deg=known.spec_btdc,
        change_deg={"advancing": change, "retarding": -change}.get(known.spec_curve or "", 0.0),
    )


def _length(machine: owners.Machine, name: str) -> Decimal | None:
    own: Decimal | None = getattr(machine, name)
    return own if own is not None or machine.kind is None else getattr(machine.kind, name)


def _marks(machine: MachineFacts, gate: Gate) -> tuple[Marks | None, str]:
    try:
        return judge_marks(machine, [(rpm, deg) for rpm, deg in gate.strobe_readings]), ""
    except BadInput as error:
        return None, error.sentence


def _before(gates: Sequence[Gate], gate: Gate) -> Gate | None:
    """The newest gate older than this one."""
    return next((one for one in gates if (one.begun_at, one.pk) < (gate.begun_at, gate.pk)), None)


def _before_words(machine: MachineFacts, before: Gate | None) -> str:
    marks = _marks(machine, before)[0] if before else None
    return f" Thin broken line, the readings before: {marks.verdict_words}. {drift_in_words(marks)}" if marks else ""


def _off_words(off_deg: float) -> str:
    off = round(off_deg, 6)
    return f"{abs(off):g}° {'early' if off > 0 else 'late'}" if off else "nothing"
