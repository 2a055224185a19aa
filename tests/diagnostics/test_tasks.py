"""After an upgrade the closed cards are counted by the new bank, without anybody asking."""

from __future__ import annotations

import pytest
from django.utils import timezone

from diagnostics import tasks
from diagnostics.changes import learning
from diagnostics.models.learning import Learned
from diagnostics.reads.bank import the_bank
from garage.celery import app
from tests.factories import garage
from tests.factories.jobs import visit_here

pytestmark = pytest.mark.django_db


def test_the_sweep_counts_by_the_bank_in_use() -> None:
    learning.card_closed(visit_here(), by=garage.person(), now=timezone.now())
    older = {"times": {}, "chances": {}, "learned": 1, "not_learned": 0}
    Learned.objects.create(at=timezone.now(), edition="an older one", **older)
    tasks.count_by_a_new_bank()
    tasks.count_by_a_new_bank()
    editions = list(Learned.objects.values_list("edition", flat=True))
    assert editions == [the_bank().edition, "an older one", the_bank().edition]


def test_the_sweep_is_known_by_its_name() -> None:
    planned = {entry["task"] for entry in app.conf.beat_schedule.values()}
    assert tasks.count_by_a_new_bank.name in planned
