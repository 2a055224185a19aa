"""The gate's page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from diagnostics.core.gate import (
    AUTOMATIC_REV_OUT,
    BENCH_CAUTIONS,
    LIMITER,
    RUNNING_CAUTIONS,
    stops_before,
    why_no_gate,
)
from diagnostics.core.gate_people import failed_for_good, why_no_override
from diagnostics.core.rev_out_safety import TICKS
from diagnostics.core.telling.gate_words import spec_words
from diagnostics.core.timing.strobe_words import STROBE_CARE
from diagnostics.models.gates import Gate, GateItem
from diagnostics.pages.gate_parts import GateLine, GatePart, lines_over, parts_of
from diagnostics.pages.packers import PackersShown, packers_shown
from diagnostics.pages.timing import DegreesShown, StrobeShown, degrees_shown, strobe_shown
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import visit_case
from diagnostics.reads.gates import (
    answers_of,
    gate_person,
    gates_with_readings,
    last_gate_of,
    open_gate_of,
    ran_by,
    taking_gate,
)
from garage.core.roller_rule import RollerAct, stop_for
from garage.models.people import Person
from garage.models.shop import ROLLER, Station
from garage.models.visits import Photo, Step, Visit
from garage.reads.day_problem import step_of_now, steps_with_people
from garage.reads.roller_facts import roller_facts_of


@dataclass(frozen=True)
class GatePage:
    """last: the newest finished gate. stops: current do-not-run findings. remarks: ticks on the sheet. strobe: readings
    of the last gate. packers: only if those advance and the machine is here. part: the one to do now, None if it is to
    be put on the rollers first. to_come: what is next, if that is the gate or a session; session: that one, once both
    parts are passed. rollers: where it can be put, or stands. why_no_override: why the one who looks may not let the
    last gate pass; empty if they may.
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
    to_come: Step | None
    session: Step | None
    rollers: tuple[Station, ...]
    strobe: StrobeShown | None
    degrees: DegreesShown
    packers: PackersShown | None
    why_no_override: str
    photos: tuple[Photo, ...]  # of the whole visit

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
        """It came off the rollers after a passed gate, and is to run there again: its part at the bench stands."""
        return self.to_come is not None and self.session is None and self.visit.gate_at_bench_passed_at is not None

    @property
    def begin_is_next(self) -> bool:
        return self.session is None and (self.to_come is not None or self.last is None)

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
    part, bench = parts_of(bank, known, begun) if begun else (None, ())
    to_come = None if begun else _to_come(visit)
    session = to_come if visit.gate_passed_at else None
    is_between = begun is not None and part is None
    return GatePage(
        visit=visit,
        open_gate=begun,
        part=part,
        bench=bench,
        last=last,
        last_lines=lines_over(bank, last, rows) if last else (),
        may_begin=not why,
        why_not_begin=why,
        stops=stops_before(bank, known.case),
        remarks=tuple(TICKS[name] for name in known.ticks),
        how=(AUTOMATIC_REV_OUT,) if machine.gearbox == "automatic" else (LIMITER,),
        spec=spec_words(machine),
        to_come=to_come,
        session=session,
        rollers=_rollers(session) if session or is_between else (),
        strobe=strobe_shown(visit.machine, readings, last) if last else None,
        degrees=degrees_shown(visit.machine),
        packers=packers_shown(visit.machine, readings) if is_level_asked else None,
        why_no_override=_why_no_override(visit, last, rows, seen_by) if last else "",
        photos=tuple(visit.photos.all()),
    )


def _why_no_override(visit: Visit, gate: Gate, rows: Mapping[str, GateItem], person: Person) -> str:
    """What nobody overrides comes first, then who may not."""
    results = {item: row.result for item, row in rows.items()}
    facts = replace(roller_facts_of(visit), failed_for_good=failed_for_good(results))
    stop = stop_for(RollerAct.OVERRIDE, facts)
    return stop.sentence if stop else why_no_override(gate_person(person), ran_by(gate, rows.values()))


def _to_come(visit: Visit) -> Step | None:
    """The gate's own step or the session, whichever is next; None if neither is."""
    step = step_of_now(visit, list(steps_with_people().filter(visit=visit)))
    return step if step and not step.began_at and (step.is_check or step.at == ROLLER) else None


def _rollers(step: Step | None) -> tuple[Station, ...]:
    """The one on which the machine stands, or all."""
    stands_on = {"number": step.station} if step and step.strapped_from and step.station else {}
    return tuple(Station.objects.filter(kind=ROLLER, **stands_on))


def _why_not(visit: Visit) -> str:
    for_rollers = ROLLER in (visit.kind.at, visit.at)
    return why_no_gate(visit.number, visit.state, visit.kind.name, goes_on_the_rollers=for_rollers)
