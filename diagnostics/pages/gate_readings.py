"""What strobe and gauge read at the gates of a visit, as its card shows them."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.core.gate_list import COMPRESSION, STROBE_LINE, line_called
from diagnostics.core.telling.gate_words import answer_said
from diagnostics.models.gates import GateItem
from diagnostics.reads.bank import the_bank
from diagnostics.reads.gates import sheet_of_gate
from garage.core.text.languages import told
from garage.models.visits import Visit


@dataclass(frozen=True)
class GateReading:
    """says: what was read; said: as in "17° at 1,400 rpm, 16.5° at 9,000 rpm"; row: with who and when."""

    says: str
    said: str
    row: GateItem


def gate_readings(visit: Visit) -> tuple[GateReading, ...]:
    """Oldest first, an open gate's among them. Marks not seen and what was not measured are no readings."""
    rows = GateItem.objects.filter(gate__visit=visit, item__in=[STROBE_LINE, COMPRESSION])
    shown = (_reading(row) for row in rows.select_related("gate", "by").order_by("gate__begun_at", "gate_id", "-item"))
    return tuple(reading for reading in shown if reading)


def _reading(row: GateItem) -> GateReading | None:
    line, sheet = line_called(row.item), sheet_of_gate(row.gate, {row.item: row})
    was_read = bool(sheet.strobe) if row.item == STROBE_LINE else sheet.compression is not None
    return GateReading(told(line.say), answer_said(the_bank(), line, sheet), row) if line and was_read else None
