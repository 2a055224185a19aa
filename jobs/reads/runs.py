"""Roller runs, their files, and what the garage knows of its rollers and loggers."""

from __future__ import annotations

import gzip
import hashlib
import json
from collections import defaultdict
from collections.abc import Sequence
from datetime import date

from django.http import Http404

from garage.core.time.clock import day_in_words
from garage.models.owners import Machine
from garage.models.visits import Visit
from jobs.core.runs.air import Air
from jobs.core.runs.curve import PowerCurve
from jobs.core.runs.logger.column_names import HOLDS, ColumnName, Holds
from jobs.core.runs.run_facts import RunFacts
from jobs.models.runs import KnownLogger, RollersSetUp, Run, RunFile


def rollers_set_up() -> RollersSetUp:
    """As the boss wrote it down; a fresh one, not saved, before that."""
    return RollersSetUp.objects.first() or RollersSetUp(id=1)


def runs_of(visit: Visit) -> list[Run]:
    """Oldest first, those struck out too."""
    return list(visit.runs.select_related("by"))


def run_of(visit: Visit, run_id: int) -> Run:
    found = Run.objects.filter(visit=visit, pk=run_id).select_related("visit", "file").first()
    if found is None:
        raise Http404
    return found


def last_run_of(machine: Machine) -> Run | None:
    """Of any visit, not struck out."""
    return Run.objects.filter(visit__machine=machine, struck_at=None).order_by("day", "id").last()


def last_geared_run_of(machine: Machine) -> Run | None:
    """Of any visit, not struck out, with reduction and tyre."""
    rows = Run.objects.filter(visit__machine=machine, struck_at=None, said__reduction__gt=0)
    return rows.exclude(said__tyre="").order_by("day", "id").last()


def last_run_before(visit: Visit) -> Run | None:
    """Of the machine's earlier visits, with its air."""
    rows = Run.objects.filter(visit__machine=visit.machine_id, visit__number__lt=visit.number, struck_at=None)
    return rows.exclude(air=None).order_by("day", "id").last()


def last_air_of(day: date) -> dict[str, float] | None:
    """As written down with the day's last run of any machine."""
    row = Run.objects.filter(day=day).exclude(air=None).order_by("id").last()
    return row.air if row else None


def letters_of(machine: Machine, day: date) -> list[str]:
    return list(Run.objects.filter(visit__machine=machine, day=day).values_list("letter", flat=True))


def letters_by_visit(visit_ids: Sequence[int]) -> dict[int, list[str]]:
    """Of the runs that are not struck out, oldest first; a visit without any has an empty list."""
    found: dict[int, list[str]] = defaultdict(list)
    for visit_id, letter in Run.objects.filter(visit__in=visit_ids, struck_at=None).values_list("visit_id", "letter"):
        found[visit_id].append(letter)
    return found


def run_file_of(visit: Visit, file_id: int) -> RunFile:
    """With the run that was made of it, if one was."""
    found = RunFile.objects.filter(visit=visit, pk=file_id).select_related("visit__machine__kind", "run").first()
    if found is None:
        raise Http404
    return found


def is_a_run(file: RunFile) -> bool:
    """It was read with its run."""
    return getattr(file, "run", None) is not None


def content_of(file: RunFile) -> bytes:
    """The bytes as the logger wrote them."""
    return gzip.decompress(bytes(file.packed))


def names_hash(columns: Sequence[ColumnName]) -> str:
    """By which a logger is known again."""
    words = json.dumps([[column.words, column.unit] for column in columns])
    return hashlib.sha256(words.encode()).hexdigest()


def known_columns(columns: Sequence[ColumnName]) -> dict[int, Holds] | None:
    """What was said of a file with these names before, or None."""
    row = KnownLogger.objects.filter(names_hash=names_hash(columns)).first()
    return {int(index): HOLDS[key] for index, key in row.columns.items() if key in HOLDS} if row else None


def facts_of(run: Run) -> RunFacts:
    return RunFacts(
        name=f"run {run.letter} of {day_in_words(run.day)}",
        letter=run.letter,
        curve=PowerCurve(**{name: tuple(values) for name, values in run.curve.items()}),
        air=Air(**run.air) if run.air else None,
        standard=run.standard,
        fitted=run.fitted,
    )
