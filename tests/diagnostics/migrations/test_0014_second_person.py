"""What the release before judged do not run is kept off the rollers from the first start of this one."""

from importlib import import_module

import pytest
from django.apps import apps
from django.db import connection
from django.utils import timezone

from diagnostics.changes import judgements
from garage.core import routes, states
from garage.models.visits import Visit
from tests.factories import garage
from tests.factories.diagnostics import HEALTHY, PINKING

pytestmark = pytest.mark.django_db
COSTS = {"slot_lost": 9000, "bench_check": 2500, "call": 600, "bench_minute": 75}
told = import_module("diagnostics.migrations.0014_second_person").told_what_stops_them


def judged(*each_time, **given):
    """A visit with its judgements as the release before left them: it told the visit nothing."""
    visit = garage.visit(gate_passed_at=timezone.now(), **given)
    for answers in each_time:
        case = {"case": f"V-{visit.number}", "machine": {}, "booked": "set-up", "answers": answers, "heard": None}
        judgements.row(visit, case | {"costs": COSTS}, at=timezone.now(), learned=None).save(force_insert=True)
    return visit


def test_only_what_is_open_and_judged_do_not_run_last_is_told():
    garage.shop()
    stopped = judged(HEALTHY, PINKING)
    others = [judged(HEALTHY), judged(PINKING, HEALTHY), judged(), judged(PINKING, state=states.COLLECTED)]
    assert stopped.judgements.first().route == routes.DO_NOT_RUN
    told(apps, connection.schema_editor())
    stopped.refresh_from_db()
    assert (stopped.must_not_run, stopped.gate_passed_at) == (["It is judged do not run: see its findings."], None)
    assert [Visit.objects.get(pk=other.pk).must_not_run for other in others] == [[], [], [], []]
    assert all(Visit.objects.get(pk=other.pk).gate_passed_at for other in others)


def test_the_next_judgement_says_it_in_the_words_of_the_findings():
    garage.shop()
    visit = judged(PINKING)
    told(apps, connection.schema_editor())
    judgements.judge_again(Visit.objects.get(pk=visit.pk), now=timezone.now())
    visit.refresh_from_db()
    assert visit.must_not_run == []  # nothing stands in its findings: the rows above were made by hand
