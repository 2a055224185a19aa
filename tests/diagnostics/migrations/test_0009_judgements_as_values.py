"""Judgements that an older release kept come through as values that say the same."""

import json
from importlib import import_module
from pathlib import Path

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, transaction
from django.db.migrations import RunPython
from django.utils import timezone

from diagnostics.core.judging.judgement import (
    BookedForTheBench,
    Caution,
    Cheapest,
    RichPowerRun,
    RichSetUp,
    Stopped,
)
from diagnostics.core.judging.judgement_json import from_json
from diagnostics.models.judgements import KeptJudgement
from tests.factories import garage

# As the release before this migration wrote them; their bench orders are cut to three steps.
LINES = (Path(__file__).parent / "old_judgements.jsonl").read_text(encoding="utf-8").splitlines()
OLD = {row["kind"]: row for row in map(json.loads, LINES)}

migration = import_module("diagnostics.migrations.0009_judgements_as_values")


def value_of(kind):
    return from_json(migration.converted(OLD[kind]["result"], OLD[kind]["edition"]))


@pytest.mark.parametrize(
    ("kind", "why"),
    [
        ("stopped", Stopped(("fuel=wrong-mix", "changed=exhaust", "falls_back=hangs"))),
        ("stopped unless made so", Stopped(("strobe_idle=14", "strobe_peak=19.6"), unless_made_to_advance=True)),
        ("bench", BookedForTheBench()),
        ("rich on a set-up", RichSetUp(0.8)),
        ("rich on a power run", RichPowerRun(0.6)),
        ("fix first by cost", Cheapest(599, "phone-first")),
        ("phone first by cost", Cheapest(59, "fix-first")),
        ("roller-ready by cost", Cheapest(0, "fix-first")),
    ],
)
def test_what_decided_is_the_kind_that_the_sentence_said(kind, why):
    found = value_of(kind).why
    assert type(found) is type(why)
    for name, value in vars(why).items():
        assert vars(found)[name] == (pytest.approx(value, abs=0.5) if name == "by_pence" else value)


@pytest.mark.parametrize("kind", OLD)
def test_every_figure_and_answer_stays_the_same(kind):
    old, new = OLD[kind]["result"], value_of(kind)
    assert (new.case, new.edition, new.route) == (old["case"], OLD[kind]["edition"], old["route"])
    assert (new.chances, new.groups) == (old["chances"], old["groups"])
    assert [vars(reason) for reason in new.because] == old["because"]
    assert [step._asdict() for step in new.bench_order] == old["bench_order"]
    assert new.expected_bench_minutes == old["expected_bench_minutes"]
    assert (new.ask_next and vars(new.ask_next)) == old["ask_next"]
    assert new.route_costs_pence == old["also"]["route_costs_pence"]
    assert new.ready_chance == pytest.approx(old["also"]["ready_chance"])


def test_every_caution_ever_given_is_still_known():
    assert set(migration.CAUTIONS.values()) < {caution.value for caution in Caution}
    assert value_of("stopped").cautions[:2] == (Caution.STOPPED, Caution.DRAIN)
    assert [len(value_of(kind).cautions) for kind in OLD] == [len(row["result"]["cautions"]) for row in OLD.values()]


@pytest.mark.django_db
def test_existing_rows_are_converted_once_and_protected_again():
    """Its other steps, which rename the table's model, go with every upgrade of the first edition's garage."""
    visit = garage.visit()
    for row in OLD.values():
        values = {"edition": row["edition"], "case": row["case"], "route": row["result"]["route"]}
        KeptJudgement.objects.create(visit=visit, at=timezone.now(), result=row["result"], **values)
    for step in migration.Migration.operations:
        if isinstance(step, RunPython):
            step.code(apps, connection.schema_editor())
    kept = list(KeptJudgement.objects.order_by("id"))
    assert [row.judgement for row in kept] == [value_of(kind) for kind in OLD]
    assert [row.case for row in kept] == [row["case"] for row in OLD.values()]
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        KeptJudgement.objects.update(route="fix-first")
