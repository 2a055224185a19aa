from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from garage.core.errors import BadInput, Refused
from garage.models.trail import TrailRow
from jobs.changes import cards, runs
from jobs.core.runs.rollers import Rollers
from jobs.models.runs import KnownLogger, RollersSetUp, Run, RunFile
from jobs.reads.runs import content_of
from tests.factories import garage, jobs
from tests.factories import runs as made

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    return jobs.card().visit


@pytest.fixture
def by(visit):
    return visit.card.opened_by


def send(visit, by, content=None, **given):
    return runs.send(visit, name="run.csv", content=content or made.power_file(), by=by, now=timezone.now(), **given)


def test_a_file_becomes_a_run_named_by_day_and_letter_and_keeps_its_bytes(visit, by):
    first, second = made.run(visit, by=by), made.run(visit, by=by)
    assert [first.letter, second.letter] == ["A", "B"]
    assert content_of(first.file) == made.power_file()
    assert {*first.curve["power_w"]} == {10_000.0}
    assert TrailRow.objects.filter(visit=visit, did="imported run B from run.csv").exists()


def test_a_letter_is_not_given_twice_on_the_machines_day_not_even_after_a_run_is_struck_out(visit, by):
    runs.strike(made.run(visit, by=by), by=by, now=timezone.now())
    other = garage.visit(machine=visit.machine, owner=visit.owner, state=visit.state, arrived_at=timezone.now())
    assert made.run(other, by=by).letter == "B"


def test_power_from_the_rollers_needs_what_the_boss_wrote_down(visit, by):
    file = send(visit, by, made.roller_file())
    said = made.said(columns={0: "time:s", 1: "speed:km/h"}, reduction=7.5, tyre="1852 mm")
    with pytest.raises(BadInput, match=r"^Inertia is missing"):
        runs.take(file, said, by=by, now=timezone.now())
    units = {"standard": "sae", "power_unit": "hp", "torque_unit": "Nm"}
    runs.set_up_rollers(Rollers(6.25, 500), **units, by=by, now=timezone.now())
    run = runs.take(file, said, by=by, now=timezone.now())
    rpm = min(run.curve["rpm"], key=lambda each: abs(each - 100 * 7.5 / (0.06 * 1.852)))
    assert run.curve["power_w"][run.curve["rpm"].index(rpm)] == pytest.approx(7716, rel=0.01)
    assert run.said["rollers"] == {"inertia_kg_m2": 6.25, "diameter_mm": 500}
    assert RollersSetUp.objects.get().standard == "sae"


def test_what_was_said_of_the_columns_is_remembered_for_the_same_names(visit, by):
    made.run(visit, by=by)
    assert KnownLogger.objects.get().columns == {"0": "revs:rpm", "1": "power:kW"}
    made.run(visit, by=by)
    assert KnownLogger.objects.count() == 1


def test_nothing_of_a_refused_run_is_kept(visit, by):
    file = send(visit, by)
    for wrong in ({"standard": "best"}, {"columns": {0: "revs:rpm", 1: "noise:dB"}}, {"columns": {0: "revs:rpm"}}):
        with pytest.raises(BadInput):
            runs.take(file, made.said(**wrong), by=by, now=timezone.now())
    assert not Run.objects.exists()
    assert not KnownLogger.objects.exists()


def test_one_file_is_one_run(visit, by):
    file = send(visit, by)
    runs.take(file, made.said(), by=by, now=timezone.now())
    with pytest.raises(Refused, match="is a run already"):
        runs.take(file, made.said(), by=by, now=timezone.now())


def test_a_closed_card_takes_no_run():
    closed = jobs.closed_card()
    with pytest.raises(Refused, match="is closed"):
        send(closed.visit, closed.opened_by)


def test_a_spreadsheet_in_disguise_is_not_kept(visit, by):
    with pytest.raises(BadInput, match="a spreadsheet or a ZIP file under another name"):
        send(visit, by, b"PK\x03\x04 and so on")
    assert not RunFile.objects.exists()


def test_a_run_is_struck_out_once(visit, by):
    run = made.run(visit, by=by)
    runs.strike(run, by=by, now=timezone.now())
    with pytest.raises(Refused, match="already struck out"):
        runs.strike(run, by=by, now=timezone.now())


def test_the_database_keeps_runs_and_files_as_they_are(visit, by):
    run = made.run(visit, by=by)
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        Run.objects.filter(pk=run.pk).update(curve={})
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        RunFile.objects.filter(pk=run.file_id).update(packed=b"")
    with pytest.raises(IntegrityError, match="never deleted"), transaction.atomic():
        Run.objects.filter(pk=run.pk)._raw_delete("default")


def test_a_file_that_never_was_a_run_is_forgotten_after_a_day(visit, by):
    kept, waits = made.run(visit, by=by), send(visit, by)
    runs.sweep(now=timezone.now() + timedelta(hours=23))
    assert RunFile.objects.count() == 2
    runs.sweep(now=timezone.now() + timedelta(hours=25))
    assert [*RunFile.objects.all()] == [kept.file]
    assert waits.pk != kept.file_id


def test_a_smaller_main_jet_in_a_run_is_refused_before_a_pull_that_held_and_the_way_out_is_said(visit, by):
    visit.gate_at_bench_passed_at = timezone.now()
    visit.save()
    made.run(visit, by=by, pulled_clean=False)
    with pytest.raises(
        Refused, match=r"^This run says main jet 95, and 98 was the last one .* If it came in with 95, say"
    ):
        made.run(visit, by=by, fitted={"main_jet": "95"})
    as_found = {"words": "Main jet", "before": "95", "after": "95", "pulled_clean": False}
    cards.change_of_jet(visit, **as_found, by=by, now=timezone.now())
    assert made.run(visit, by=by, fitted={"main_jet": "95"}).fitted == {"main_jet": "95"}


def test_a_run_with_the_same_or_a_larger_main_jet_asks_nothing(visit, by):
    for jet in ("98", "100", "", "100"):
        assert made.run(visit, by=by, fitted={"main_jet": jet})
