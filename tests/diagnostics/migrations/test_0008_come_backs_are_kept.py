"""Come-backs that an older release marked on their closings come through with what they say."""

from importlib import import_module

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from diagnostics.changes import learning
from diagnostics.models.learning import ComeBack
from diagnostics.reads.learning import closings_now, counts_now
from tests.factories import garage
from tests.factories.jobs import visit_here

pytestmark = pytest.mark.django_db

copied = import_module("diagnostics.migrations.0008_come_backs_are_kept").copied


def test_a_come_back_marked_on_its_closing_becomes_a_row_that_can_be_withdrawn():
    by, visits = garage.person(), [visit_here(), visit_here()]
    marked_at = timezone.now()
    before = MigrationExecutor(connection).loader.project_state(("diagnostics", "0007_come_backs")).apps
    closings = before.get_model("diagnostics", "Closing").objects
    for visit, came_back_at in zip(visits, (marked_at, None), strict=True):
        closings.create(visit_id=visit.pk, at=marked_at, by_id=by.pk, came_back_at=came_back_at)
    copied(before, None)
    assert list(closings_now().order_by("visit_id").values_list("back_since", flat=True)) == [marked_at, None]
    assert ComeBack.objects.get().by is None
    learning.did_not_come_back(visits[0], by=by, now=timezone.now())
    assert not closings_now().exclude(back_since=None).exists()
    assert counts_now().learned == 2
