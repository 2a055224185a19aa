"""What was put down, seen at the gate and judged under the answer's old name comes through under its new one."""

import json

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from diagnostics.changes import judgements
from diagnostics.models.gates import Gate
from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.sheets import Finding
from diagnostics.reads.weighed import weighed
from tests.factories import garage
from tests.factories.diagnostics import FALSE_CEILING, HEALTHY, gate_over

BEFORE, HERE = [("diagnostics", "0009_judgements_as_values")], [("diagnostics", "0010_ceiling")]
CLIP = {"verdict": "breaks-down", "confidence": 0.9, "ceiling_rpm": 6100.0, "peak_rpm": 6200.0}
COSTS = {"slot_lost": 9000, "bench_check": 2500, "call": 600, "bench_minute": 75}


def kept(visit, answers, heard):
    case = {"case": f"V-{visit.number}", "machine": {}, "booked": "set-up", "answers": answers, "heard": heard}
    row = judgements.row(visit, case | {"costs": COSTS}, at=timezone.now(), learned=None)
    row.save()
    return row


def as_it_was(values):
    text = json.dumps(values).replace('"ceiling"', '"bounces"').replace("rev_out=ceiling", "rev_out=bounces")
    return json.loads(text)


def contents(rows):
    return [(row.visit_id, row.case, row.result) for row in rows]


@pytest.mark.django_db(transaction=True)
def test_the_old_name_is_gone_and_everything_else_is_as_it_was():
    visit, now = garage.visit(), timezone.now()
    rows = [kept(visit, FALSE_CEILING, None), kept(visit, FALSE_CEILING, CLIP), kept(visit, HEALTHY, CLIP)]
    answers = (("rev_out", "ceiling"), ("plug", "tan"), ("strobe_idle", 17.5), ("changed", ["nothing"]))
    for question, answer in answers:
        Finding.objects.create(visit=visit, question=question, answer=answer, source=Finding.OWNER, at=now)
    gates = [gate_over(visit=visit, rev_out=rev_out) for rev_out in ("ceiling", "smoky")]
    expected = contents(rows)
    assert "rev_out=ceiling+heard=breaks-down" in json.dumps(expected)

    MigrationExecutor(connection).migrate(BEFORE)
    KeptJudgement.objects.all().delete()
    for row in rows:
        row.case, row.result = as_it_was(row.case), as_it_was(row.result)
        row.save(force_insert=True)
    Finding.objects.filter(answer="ceiling").update(answer="bounces")
    Gate.objects.filter(rev_out="ceiling").update(rev_out="bounces")
    assert json.dumps(contents(KeptJudgement.objects.all())).count("bounces") == 4

    MigrationExecutor(connection).migrate(HERE)
    assert contents(KeptJudgement.objects.order_by("id")) == expected
    assert tuple(Finding.objects.order_by("id").values_list("question", "answer")) == answers
    rev_outs = dict(Gate.objects.values_list("pk", "rev_out"))  # later releases have more columns than this one
    assert [rev_outs[gate.pk] for gate in gates] == ["ceiling", "smoky"]
    assert all(weighed(row) for row in KeptJudgement.objects.all())
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        KeptJudgement.objects.update(at=now)
