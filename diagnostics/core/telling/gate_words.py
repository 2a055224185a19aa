"""Answers at the gate, in words."""

from __future__ import annotations

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import MachineFacts
from diagnostics.core.gate_list import (
    COMPRESSION,
    HIGHEST_REVS,
    MIX,
    NOT_APPLICABLE,
    REV_OUT_LINE,
    SECOND_LINE,
    STROBE_LINE,
    Item,
)
from diagnostics.core.gate_sheet import NOT_DONE, GateSheet
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.core.readings import gauge_words
from garage.core.text.languages import in_figures, told


def answer_said(bank: Bank, line: Item, sheet: GateSheet) -> str:
    """As in "not in order: drips at the tap"; empty without an answer. Readings, which owners read too, are in the
    language in force.

    >>> from diagnostics.core.gate_list import line_called
    >>> answer_said(None, line_called("leaks"), GateSheet({"leaks": "bad"}, {"leaks": "drips at the tap"}))
    'not in order: drips at the tap'
    """
    if line.id == REV_OUT_LINE:
        return _rev_out_said(bank, sheet)
    if line.id == STROBE_LINE:
        return _strobe_said(sheet)
    words = told(dict(line.results).get(sheet.results.get(line.id, ""), ""))
    return ": ".join(part for part in (words, _more(line, sheet)) if part)


def _more(line: Item, sheet: GateSheet) -> str:
    """What was given besides the result, and the note."""
    more = {
        COMPRESSION: gauge_words(*sheet.compression) if sheet.compression else "",
        HIGHEST_REVS: f"{sheet.highest_rpm} rpm" if sheet.highest_rpm is not None else "",
        MIX: sheet.fuel_mix.strip(),
        SECOND_LINE: sheet.second_person.strip(),
    }.get(line.id, "")
    if line.id == COMPRESSION and sheet.results.get(line.id) == NOT_APPLICABLE:
        more = ""
    return "; ".join(part for part in (more, sheet.words.get(line.id, "").strip()) if part)


def _rev_out_said(bank: Bank, sheet: GateSheet) -> str:
    if not sheet.rev_out:
        return ""
    return "Not done" if sheet.rev_out == NOT_DONE else bank.question(REV_OUT).say(sheet.rev_out)


def _strobe_said(sheet: GateSheet) -> str:
    if sheet.strobe:
        return ", ".join(
            told("{angle}° at {rpm} rpm", angle=in_figures(f"{deg:g}"), rpm=in_figures(f"{rpm:,.0f}"))
            for rpm, deg in sheet.strobe
        )
    return f"marks not seen: {sheet.not_seen.strip()}" if sheet.not_seen.strip() else ""


def spec_words(machine: MachineFacts) -> str:
    """What the strobe should read.

    >>> spec_words(MachineFacts(spec_btdc=17.0))
    'Spec: 17 degrees BTDC at tickover, fixed.'
    """
    if machine.spec_btdc is None:
        return "Its timing spec is not known, so only the drift with revs is judged."
    curve = machine.spec_curve or "fixed"
    size = f" by {machine.curve_deg:g} degrees to peak revs" if curve != "fixed" and machine.curve_deg else ""
    return f"Spec: {machine.spec_btdc:g} degrees BTDC at tickover, {curve}{size}."
