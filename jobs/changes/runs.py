"""Roller runs: a logger's file is sent, then said what its columns are; a run may be struck out."""

from __future__ import annotations

import gzip
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta

from django.db import transaction

from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core import roller_rule
from garage.core.errors import BadInput, Refused
from garage.core.machines.gearing import roll_out_mm, rpm_per_km_h
from garage.core.roller_rule import RollerAct
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.shop import today
from jobs.changes import cards
from jobs.core.runs.air import Air
from jobs.core.runs.correction import NONE, STANDARDS
from jobs.core.runs.jets import may_be_smaller
from jobs.core.runs.logger.column_names import HOLDS
from jobs.core.runs.logger.logger_table import read_head
from jobs.core.runs.reading_a_run import AskedOfFile, ReadRun, read_run
from jobs.core.runs.rollers import Rollers
from jobs.core.runs.run_facts import fitted_of, next_letter
from jobs.models.runs import KnownLogger, RollersSetUp, Run, RunFile
from jobs.reads.jets import jet_facts_of, main_jet_of
from jobs.reads.runs import content_of, letters_of, names_hash, rollers_set_up

KEPT = timedelta(days=1)  # a file of which nobody said what its columns are


@dataclass(frozen=True)
class SaidOfRun:
    """columns: by number, counted from 0, as in HOLDS. air: None if nobody wrote it down.

    standard: one of STANDARDS, or NONE. window_s: of the smoothing. reduction, tyre: of the machine in the gear of the
    run; 0 and empty if not said. pulled_clean: whether it neither broke down nor misfired; None if nobody said.
    """

    columns: Mapping[int, str]
    air: Air | None
    standard: str
    window_s: float
    adds_losses: bool
    reduction: float
    tyre: str
    fitted: Mapping[str, str]
    pulled_clean: bool | None


@transaction.atomic
def send(visit: Visit, *, name: str, content: bytes, by: Person, now: datetime) -> RunFile:
    """Raises BadInput for a file that cannot be read as a logger's."""
    read_head(content)
    visit = cards.opened(visit, by=by, now=now).visit
    return RunFile.objects.create(visit=visit, name=name[:120], packed=gzip.compress(content, 6), at=now, by=by)


@transaction.atomic
def take(file: RunFile, said: SaidOfRun, *, by: Person, now: datetime) -> Run:
    """The run of a file. What is said of its columns is remembered for the next file with the same names.

    A smaller main jet than the one known to be in is asked of the one rule, as on the card.
    """
    visit = cards.opened(file.visit, by=by, now=now).visit
    if Run.objects.filter(file=file).exists():
        raise Refused("This file is a run already: look at the runs of the visit.")
    _check_main_jet(visit, said.fitted.get("main_jet", ""))
    content, set_up = content_of(file), rollers_set_up()
    asked = _asked(said, set_up)
    read = read_run(content, asked)
    day = today(now=now)
    letter = next_letter(letters_of(visit.machine, day))
    run = Run.objects.create(
        visit=visit, file=file, day=day, letter=letter, at=now, by=by, **_read_values(read), **_said_values(said, asked)
    )
    KnownLogger.objects.update_or_create(
        names_hash=names_hash(read_head(content).columns), defaults={"columns": dict(said.columns)}
    )
    trail.about_visit(visit, f"imported run {letter} from {file.name}", by=by, now=now, run=run.pk)
    return run


def _check_main_jet(visit: Visit, now_in: str) -> None:
    """Of a machine that nothing is known of, the first run says what came in it."""
    known = main_jet_of(visit)
    stop = roller_rule.stop_for(RollerAct.JET_DOWN, jet_facts_of(visit))
    if stop and known and may_be_smaller(before=known, after=now_in):
        raise Refused(
            f"This run says main jet {now_in}, and {known} was the last one known to be in. {stop.sentence} If it came "
            f"in with {now_in}, say so on the card first: jet, {now_in} taken out and {now_in} put in."
        )


def _read_values(read: ReadRun) -> dict[str, object]:
    return {"how": read.how, "lost_w": read.lost_w, "curve": asdict(read.curve)}


def _said_values(said: SaidOfRun, asked: AskedOfFile) -> dict[str, object]:
    of_file = {
        "columns": dict(said.columns),
        "window_s": said.window_s,
        "adds_losses": said.adds_losses,
        "reduction": said.reduction,
        "tyre": said.tyre,
        "rollers": asdict(asked.rollers) if asked.rollers else None,
    }
    air = asdict(said.air) if said.air else None
    fitted = fitted_of(said.fitted)
    return {
        "said": of_file,
        "air": air,
        "standard": said.standard,
        "fitted": fitted,
        "pulled_clean": said.pulled_clean,
    }


def _asked(said: SaidOfRun, set_up: RollersSetUp) -> AskedOfFile:
    if said.standard not in (*STANDARDS, NONE):
        raise BadInput("Standard", said.standard, ", ".join((*STANDARDS, NONE)))
    unknown = next((key for key in said.columns.values() if key not in HOLDS), None)
    if unknown is not None:
        raise BadInput("What a column holds", unknown, "one of those offered")
    gearing = rpm_per_km_h(said.reduction, roll_out_mm(said.tyre)) if said.reduction or said.tyre else None
    return AskedOfFile(
        columns={index: HOLDS[key] for index, key in said.columns.items()},
        rollers=set_up.rollers,
        rpm_per_km_h=gearing,
        window_s=said.window_s,
        adds_losses=said.adds_losses,
    )


@transaction.atomic
def strike(run: Run, *, by: Person, now: datetime) -> None:
    """It stays readable and keeps its letter, and no curve shows it."""
    visit = visit_for_change(run.visit)
    run.refresh_from_db()
    if run.struck_at:
        raise Refused(f"Run {run.letter} is already struck out.")
    run.struck_at = now
    run.save(update_fields=["struck_at"])
    trail.about_visit(visit, f"struck out run {run.letter}", by=by, now=now, run=run.pk)


@transaction.atomic
def set_up_rollers(
    rollers: Rollers | None, *, standard: str, power_unit: str, torque_unit: str, by: Person, now: datetime
) -> None:
    """rollers: None for a logger that gives power. Runs of before keep what they were made with."""
    measures = asdict(rollers) if rollers else {"inertia_kg_m2": None, "diameter_mm": None}
    units = {"standard": standard, "power_unit": power_unit, "torque_unit": torque_unit}
    RollersSetUp.objects.update_or_create(id=1, defaults=measures | units)
    trail.wrote(did="set up the rollers for runs", about="the shop", by=by, now=now, values=measures | units)


def sweep(*, now: datetime) -> None:
    RunFile.objects.filter(run=None, at__lt=now - KEPT).delete()
