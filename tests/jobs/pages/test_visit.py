"""What the workshop's page of a visit offers."""

from __future__ import annotations

import pytest
from django.utils import timezone

from garage.changes.visit import floor
from garage.core import states
from garage.reads.shop import the_shop
from jobs.pages.visit import visit_page
from tests.factories import jobs

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("state", sorted(states.IN_THE_BUILDING))
def test_every_state_that_may_be_picked_has_its_change(state):
    page = visit_page(jobs.visit_here(state=state), the_shop(), now=timezone.now())
    picked = {name for name, _ in page.may_become}
    assert picked
    assert picked <= floor.SAID.keys()
