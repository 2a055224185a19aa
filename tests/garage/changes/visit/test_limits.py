"""What the owner agreed to spend on bench work."""

import pytest
from django.utils import timezone

from garage.changes.visit.limits import agree_bench_limit
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.visits import Visit
from tests.factories import garage

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("pounds", [0, 150, 10_000])
def test_a_limit_is_kept_with_a_trail(pounds):
    visit = garage.visit()
    agree_bench_limit(visit, pounds=pounds, by=garage.person(), now=timezone.now())
    assert Visit.objects.get().bench_limit_pounds == pounds
    assert visit.trail.first().did == f"the owner agrees to bench work up to £{pounds:,} without being asked again"


@pytest.mark.parametrize("pounds", [-1, 10_001])
def test_an_amount_that_must_be_a_slip_is_refused(pounds):
    with pytest.raises(BadInput, match="0 to 10000"):
        agree_bench_limit(garage.visit(), pounds=pounds, by=garage.person(), now=timezone.now())
    assert Visit.objects.get().bench_limit_pounds is None


def test_nothing_is_agreed_on_a_visit_that_is_over():
    with pytest.raises(Refused, match="no more bench work"):
        agree_bench_limit(garage.visit(state=states.CALLED_OFF), pounds=50, by=garage.person(), now=timezone.now())
