"""The gate's page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from diagnostics.core.findings import MachineFacts
from diagnostics.core.gate import AUTOMATIC_REV_OUT, CAUTIONS, ITEMS, LIMITER, stops_before, why_no_gate
from diagnostics.core.gate_people import failed_for_good, why_no_override
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.core.rev_out_safety import TICKS
from diagnostics.core.timing.strobe_words import STROBE_CARE
from diagnostics.models.gates import Gate, GateItem
from diagnostics.pages.packers import PackersShown, packers_shown
from diagnostics.pages.timing import DegreesShown, StrobeShown, degrees_shown, strobe_shown
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import visit_case
from diagnostics.reads.gates import (
    gate_person,
    gates_with_readings,
    last_gate_of,
    open_gate_of,
    ran_by,
    taking_gate,
)
from garage.core.roller_rule import RollerAct, stop_for
from garage.models.people import Person
from garage.models.shop import ROLLER
from garage.models.visits import Visit
from garage.reads.roller_facts import roller_facts_of


@dataclass(frozen=True)
class ItemLine:
    say: str
    is_bad: bool
    result: str
    words: str


@dataclass(frozen=True)
class GatePage:
    """last: the newest finished gate. stops: current do-not-run findings. remarks: ticks on the sheet. strobe: readings
    of the last gate. packers: only if those advance and the machine is here. why_no_override: why the one who looks may
    not let the last gate pass, in a sentence; empty if they may.
    """

    visit: Visit
    open_gate: Gate | None
    last: Gate | None
    last_items: tuple[ItemLine, ...]
    may_begin: bool
    why_not_begin: str
    stops: tuple[str, ...]
    remarks: tuple[str, ...]
    cautions: tuple[str, ...]
    how: tuple[str, ...]
    spec: str
    rev_out_said: str
    strobe: StrobeShown | None
    degrees: DegreesShown
    packers: PackersShown | None

    why_no_override: str

    strobe_care: tuple[str, ...] = STROBE_CARE

    @property
    def has_failed(self) -> bool:
        """The last gate failed and was not overridden."""
        gate = self.last
        return gate is not None and gate.passed is False and gate.overridden_by_id is None and self.open_gate is None


def gate_page(visit: Visit, *, seen_by: Person) -> GatePage:
    bank, known, last = the_bank(), visit_case(visit), last_gate_of(visit)
    machine = known.case.machine
    why, items = _why_not(visit), list(last.items.all()) if last else []
    readings = gates_with_readings(visit.machine)
    is_level_asked = any(gate.visit_id == visit.pk for gate in readings[:1]) and taking_gate(readings)
    return GatePage(
        visit=visit,
        open_gate=open_gate_of(visit),
        last=last,
        last_items=_lines(items),
        may_begin=not why,
        why_not_begin=why,
        stops=stops_before(bank, known.case),
        remarks=tuple(TICKS[name] for name in known.ticks),
        cautions=CAUTIONS,
        how=(AUTOMATIC_REV_OUT,) if machine.gearbox == "automatic" else (LIMITER,),
        spec=spec_words(machine),
        rev_out_said=bank.question(REV_OUT).say(last.rev_out) if last and last.rev_out else "",
        strobe=strobe_shown(visit.machine, readings, last) if last else None,
        degrees=degrees_shown(visit.machine),
        packers=packers_shown(visit.machine, readings) if is_level_asked else None,
        why_no_override=_why_no_override(visit, last, items, seen_by) if last else "",
    )


def _why_no_override(visit: Visit, gate: Gate, items: Sequence[GateItem], person: Person) -> str:
    """What nobody overrides comes first, then who may not."""
    results = {row.item: row.result for row in items}
    facts = replace(roller_facts_of(visit), failed_for_good=failed_for_good(results))
    stop = stop_for(RollerAct.OVERRIDE, facts)
    return stop.sentence if stop else why_no_override(gate_person(person), ran_by(gate))


def _why_not(visit: Visit) -> str:
    for_rollers = ROLLER in (visit.kind.at, visit.at)
    return why_no_gate(visit.number, visit.state, visit.kind.name, goes_on_the_rollers=for_rollers)


def _lines(items: Sequence[GateItem]) -> tuple[ItemLine, ...]:
    rows = {row.item: row for row in items}
    return tuple(
        ItemLine(item.say, rows[item.id].result == "bad", rows[item.id].get_result_display(), rows[item.id].words)
        for item in ITEMS
        if item.id in rows
    )


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
