"""The gate's page."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case
from diagnostics.core.gate import (
    AUTOMATIC_REV_OUT,
    BENCH_CAUTIONS,
    LIMITER,
    RUNNING_CAUTIONS,
    STRAPPED_CAUTIONS,
    stops_before,
    why_no_gate,
)
from diagnostics.core.gate_list import (
    AT_BENCH,
    BAD,
    LINES,
    PARTS,
    STRAPPED_DOWN,
    STROBE_LINE,
    Item,
    is_let_through,
    lines_of,
)
from diagnostics.core.gate_people import failed_for_good, why_no_override
from diagnostics.core.gate_sheet import GateSheet, barred_results, lines_left, not_before
from diagnostics.core.rev_out_safety import TICKS
from diagnostics.core.telling.gate_words import answer_said, spec_words
from diagnostics.core.timing.strobe_words import STROBE_CARE
from diagnostics.core.way_back import CHECK_WORDS, checks_for
from diagnostics.models.gates import Gate, GateItem
from diagnostics.pages.packers import PackersShown, packers_shown
from diagnostics.pages.timing import DegreesShown, StrobeShown, degrees_shown, strobe_shown
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import VisitCase, visit_case
from diagnostics.reads.gates import (
    answers_of,
    gate_person,
    gates_with_readings,
    last_gate_of,
    let_through_of,
    open_gate_of,
    ran_by,
    sheet_of_gate,
    taking_gate,
)
from diagnostics.reads.readings import read_before
from garage.core import states
from garage.core.roller_rule import RollerAct, stop_for
from garage.models.people import Person
from garage.models.shop import ROLLER, Station
from garage.models.visits import Step, Visit
from garage.reads.day_problem import step_of_now, steps_with_people
from garage.reads.roller_facts import roller_facts_of


@dataclass(frozen=True)
class GateLine:
    """A line with its standing answer. result: ok, bad or na; said: the answer in words; both empty if there is none.

    before: the lines that must be in order first. is_off: the engine stays off for it, since a finding says do not run.
    barred: results that it can't be answered with. is_let_through: it failed before and that was overridden.
    """

    item: Item
    result: str
    said: str
    by: Person | None
    at: datetime | None
    before: tuple[Item, ...] = ()
    is_off: bool = False
    barred: frozenset[str] = frozenset()
    is_let_through: bool = False

    @property
    def is_done(self) -> bool:
        return bool(self.said)

    @property
    def is_bad(self) -> bool:
        return self.result == BAD and not self.is_let_through

    @property
    def is_offered(self) -> bool:
        return self.is_done or not (self.before or self.is_off)


@dataclass(frozen=True)
class GatePart:
    """One part of an open gate. sheet: with what the workshop has read before, to fill the lines in. left: what can be
    done now and is not done yet. asked_for: the checks that fit what was found and put right.
    """

    id: str
    title: str
    sheet: GateSheet
    lines: tuple[GateLine, ...]
    left: tuple[Item, ...]
    cautions: tuple[str, ...]
    asked_for: tuple[str, ...]

    @property
    def standing(self) -> tuple[GateLine, ...]:
        """With the engine off: what is left first, then what is not in order, then what is done."""
        return _left_first(line for line in self.lines if not line.item.runs_engine)

    @property
    def running(self) -> tuple[GateLine, ...]:
        """With the engine running, as far as it may be started by now: few, so they keep their order."""
        return tuple(line for line in self.lines if line.item.runs_engine and line.is_offered)

    @property
    def offers_strobe(self) -> bool:
        return any(line.item.id == STROBE_LINE for line in self.running)

    @property
    def has_running(self) -> bool:
        return any(line.item.runs_engine for line in self.lines)

    @property
    def waits_for(self) -> tuple[Item, ...]:
        """What must be in order, with the engine off, before the next running lines are offered."""
        waiting = [line.before for line in self.lines if not line.is_offered and not line.is_off]
        return tuple(item for item in waiting[0] if not item.runs_engine) if waiting else ()

    @property
    def later(self) -> tuple[Item, ...]:
        """What is left too, but only after something else."""
        return tuple(line.item for line in self.lines if not line.is_offered and not line.is_off)

    @property
    def is_off(self) -> bool:
        return any(line.is_off and not line.is_done for line in self.lines)

    @property
    def bad(self) -> tuple[GateLine, ...]:
        return tuple(line for line in self.lines if line.is_bad)

    @property
    def done_count(self) -> int:
        return sum(line.is_done for line in self.lines)


@dataclass(frozen=True)
class GatePage:
    """last: the newest finished gate. stops: current do-not-run findings. remarks: ticks on the sheet. strobe: readings
    of the last gate. packers: only if those advance and the machine is here. part: the one to do now, None if it is to
    be put on the rollers first. session: the one to begin there, once both parts are passed. rollers: where it can be
    put, or stands. why_no_override: why the one who looks may not let the last gate pass; empty if they may.
    """

    visit: Visit
    open_gate: Gate | None
    part: GatePart | None
    bench: tuple[GateLine, ...]
    last: Gate | None
    last_lines: tuple[GateLine, ...]
    may_begin: bool
    why_not_begin: str
    stops: tuple[str, ...]
    remarks: tuple[str, ...]
    how: tuple[str, ...]
    spec: str
    session: Step | None
    rollers: tuple[Station, ...]
    strobe: StrobeShown | None
    degrees: DegreesShown
    packers: PackersShown | None
    why_no_override: str

    cautions: tuple[str, ...] = (*BENCH_CAUTIONS, *RUNNING_CAUTIONS)
    strobe_care: tuple[str, ...] = STROBE_CARE
    running_cautions: tuple[str, ...] = RUNNING_CAUTIONS

    @property
    def has_failed(self) -> bool:
        """The last gate failed and was not overridden."""
        gate = self.last
        return gate is not None and gate.passed is False and gate.overridden_by_id is None and self.open_gate is None

    @property
    def is_off_since(self) -> bool:
        """It came off the rollers after a passed gate: its part at the bench still stands."""
        visit = self.visit
        return self.open_gate is None and visit.gate_passed_at is None and visit.gate_at_bench_passed_at is not None

    @property
    def is_between(self) -> bool:
        """Passed at the bench, and not on the rollers yet."""
        return self.open_gate is not None and self.part is None

    @property
    def may_stand(self) -> bool:
        """Between the parts: whether nothing was found since that keeps it off the rollers."""
        return self.is_between and not self.stops and self.visit.gate_at_bench_passed_at is not None


def gate_page(visit: Visit, *, seen_by: Person) -> GatePage:
    bank, known, last, begun = the_bank(), visit_case(visit), last_gate_of(visit), open_gate_of(visit)
    machine = known.case.machine
    why, rows = _why_not(visit), answers_of(last) if last else {}
    readings = gates_with_readings(visit.machine)
    is_level_asked = any(gate.visit_id == visit.pk for gate in readings[:1]) and taking_gate(readings)
    part, bench = _parts(bank, known, begun) if begun else (None, ())
    session = None if begun else _session(visit)
    is_between = begun is not None and part is None
    return GatePage(
        visit=visit,
        open_gate=begun,
        part=part,
        bench=bench,
        last=last,
        last_lines=_over(bank, last, rows) if last else (),
        may_begin=not why,
        why_not_begin=why,
        stops=stops_before(bank, known.case),
        remarks=tuple(TICKS[name] for name in known.ticks),
        how=(AUTOMATIC_REV_OUT,) if machine.gearbox == "automatic" else (LIMITER,),
        spec=spec_words(machine),
        session=session,
        rollers=_rollers(session) if session or is_between else (),
        strobe=strobe_shown(visit.machine, readings, last) if last else None,
        degrees=degrees_shown(visit.machine),
        packers=packers_shown(visit.machine, readings) if is_level_asked else None,
        why_no_override=_why_no_override(visit, last, rows, seen_by) if last else "",
    )


def _why_no_override(visit: Visit, gate: Gate, rows: Mapping[str, GateItem], person: Person) -> str:
    """What nobody overrides comes first, then who may not."""
    results = {item: row.result for item, row in rows.items()}
    facts = replace(roller_facts_of(visit), failed_for_good=failed_for_good(results))
    stop = stop_for(RollerAct.OVERRIDE, facts)
    return stop.sentence if stop else why_no_override(gate_person(person), ran_by(gate, rows.values()))


def _session(visit: Visit) -> Step | None:
    if visit.gate_passed_at is None or visit.state not in states.IN_THE_BUILDING:
        return None
    step = step_of_now(visit, list(steps_with_people().filter(visit=visit)))
    return step if step and step.at == ROLLER and not step.began_at else None


def _parts(bank: Bank, known: VisitCase, gate: Gate) -> tuple[GatePart | None, tuple[GateLine, ...]]:
    """The part to do now, None between the two; and the lines of the bench that were answered, once it is passed."""
    answers = answers_of(gate)
    if not gate.bench_passed_at:
        return _part(bank, known, gate, answers, AT_BENCH), ()
    bench = tuple(line for line in gate_lines(bank, known.case, gate, answers, AT_BENCH) if line.is_done)
    is_there = known.visit.state == states.ON_THE_ROLLERS
    return _part(bank, known, gate, answers, STRAPPED_DOWN) if is_there else None, bench


def _part(bank: Bank, known: VisitCase, gate: Gate, answers: dict[str, GateItem], part: str) -> GatePart:
    case, sheet, is_bench = known.case, sheet_of_gate(gate, answers), part == AT_BENCH
    strobe, compression = read_before(known.visit) if is_bench else ((), None)
    return GatePart(
        id=part,
        title=PARTS[part],
        sheet=sheet.with_readings(strobe, compression),
        asked_for=tuple(CHECK_WORDS[check] for check in checks_for(known.put_right)) if is_bench else (),
        lines=gate_lines(bank, case, gate, answers, part),
        left=lines_left(case, sheet, part),
        cautions=BENCH_CAUTIONS if part == AT_BENCH else STRAPPED_CAUTIONS,
    )


def gate_lines(bank: Bank, case: Case, gate: Gate, answers: dict[str, GateItem], part: str) -> tuple[GateLine, ...]:
    """Every line of a part of an open gate, in the order of doing."""
    sheet, through = sheet_of_gate(gate, answers), let_through_of(gate)
    return tuple(_line(bank, case, item, sheet, answers.get(item.id), through) for item in lines_of(part))


def _line(
    bank: Bank, case: Case, item: Item, sheet: GateSheet, row: GateItem | None, let_through: Collection[str]
) -> GateLine:
    before = not_before(case, sheet, item)
    return GateLine(
        item=item,
        result=row.result if row else "",
        said=answer_said(bank, item, sheet),
        by=row.by if row else None,
        at=row.at if row else None,
        before=before or (),
        is_off=before is None,
        barred=barred_results(case, item),
        is_let_through=is_let_through(item, let_through),
    )


def _over(bank: Bank, gate: Gate, rows: Mapping[str, GateItem]) -> tuple[GateLine, ...]:
    """The lines of a finished gate, as far as it has them: earlier lists were shorter."""
    sheet = sheet_of_gate(gate, rows)
    lines = [(item, answer_said(bank, item, sheet), rows.get(item.id)) for item in LINES]
    return tuple(
        GateLine(item, row.result if row else "", said, row.by if row else None, row.at if row else None)
        for item, said, row in lines
        if said
    )


def _left_first(lines: Iterable[GateLine]) -> tuple[GateLine, ...]:
    """In the order of doing within each: not done, not in order, done."""
    return tuple(sorted(lines, key=lambda line: (line.is_done, not line.is_bad)))


def _rollers(step: Step | None) -> tuple[Station, ...]:
    """The one on which the machine stands, or all."""
    stands_on = {"number": step.station} if step and step.strapped_from and step.station else {}
    return tuple(Station.objects.filter(kind=ROLLER, **stands_on))


def _why_not(visit: Visit) -> str:
    for_rollers = ROLLER in (visit.kind.at, visit.at)
    return why_no_gate(visit.number, visit.state, visit.kind.name, goes_on_the_rollers=for_rollers)
