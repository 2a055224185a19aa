"""What was put down, seen at the gate and judged under the answer's old name comes through under its new one."""

import json
from importlib import import_module

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from diagnostics.changes import judgements
from diagnostics.models.gates import Gate
from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.sheets import Finding
from diagnostics.reads.weighed import weighed
from tests.factories import garage
from tests.factories.diagnostics import FALSE_CEILING, HEALTHY, gate_over

pytestmark = pytest.mark.django_db
STEPS = import_module("diagnostics.migrations.0010_ceiling").Migration.operations
CLIP = {"verdict": "breaks-down", "confidence": 0.9, "ceiling_rpm": 6100.0, "peak_rpm": 6200.0}
COSTS = {"slot_lost": 9000, "bench_check": 2500, "call": 600, "bench_minute": 75}


def judged(visit, answers, heard):
    case = {"case": f"V-{visit.number}", "machine": {}, "booked": "set-up", "answers": answers, "heard": heard}
    return judgements.row(visit, case | {"costs": COSTS}, at=timezone.now(), learned=None)


def as_it_was(values):
    text = json.dumps(values).replace('"ceiling"', '"bounces"').replace("rev_out=ceiling", "rev_out=bounces")
    return json.loads(text)


def contents(rows):
    return [(row.visit_id, row.case, row.result) for row in rows]


def test_the_old_name_is_gone_and_everything_else_is_as_it_was():
    visit, now = garage.visit(), timezone.now()
    rows = [judged(visit, FALSE_CEILING, None), judged(visit, FALSE_CEILING, CLIP), judged(visit, HEALTHY, CLIP)]
    answers = (("rev_out", "ceiling"), ("plug", "tan"), ("strobe_idle", 17.5), ("changed", ["nothing"]))
    expected = contents(rows)
    assert "rev_out=ceiling+heard=breaks-down" in json.dumps(expected)
    for question, answer in answers:
        old = "bounces" if answer == "ceiling" else answer
        Finding.objects.create(visit=visit, question=question, answer=old, source=Finding.OWNER, at=now)
    gates = [gate_over(visit=visit, rev_out=rev_out) for rev_out in ("bounces", "smoky")]
    for row in rows:
        row.case, row.result = as_it_was(row.case), as_it_was(row.result)
        row.save(force_insert=True)
    assert json.dumps(contents(KeptJudgement.objects.all())).count("bounces") == 4

    for step in STEPS:
        step.code(apps, connection.schema_editor())
    assert contents(KeptJudgement.objects.order_by("id")) == expected
    assert tuple(Finding.objects.order_by("id").values_list("question", "answer")) == answers
    rev_outs = dict(Gate.objects.values_list("pk", "rev_out"))
    assert [rev_outs[gate.pk] for gate in gates] == ["ceiling", "smoky"]
    assert all(weighed(row) for row in KeptJudgement.objects.all())
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        KeptJudgement.objects.update(at=now)
