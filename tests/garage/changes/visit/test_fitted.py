"""What a closed card says is fitted to the machine now."""

import pytest
from django.utils import timezone

from garage.changes.visit import fitted
from garage.models.trail import TrailRow
from tests.factories import garage
from tests.sentences import check_noted

pytestmark = pytest.mark.django_db


def test_what_is_fitted_now_replaces_its_place_and_leaves_the_others():
    machine = garage.machine(fitted={"needle": "third notch", "main jet": "102"})
    visit, by, now = garage.visit(machine=machine), garage.person(), timezone.now()
    fitted.now_fitted(visit, {"main jet": "98", "idle jet": "50"}, by=by, now=now)
    check_noted("fitted to the machine now: main jet 98, idle jet 50", by=by, at=now, visit=visit)
    machine.refresh_from_db()
    assert machine.fitted == {"needle": "third notch", "main jet": "98", "idle jet": "50"}


def test_where_nothing_was_fitted_nothing_is_noted():
    fitted.now_fitted(garage.visit(), {}, by=garage.person(), now=timezone.now())
    assert not TrailRow.objects.exists()
