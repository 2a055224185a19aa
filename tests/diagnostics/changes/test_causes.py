import pytest
from django.utils import timezone

from diagnostics.changes import causes
from diagnostics.pages.causes import cause_lines
from diagnostics.reads.causes import has_a_cause
from garage.core import states
from garage.core.errors import BadInput, Refused
from tests.factories import garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def mechanic():
    garage.shop()
    return garage.person()


@pytest.fixture
def visit(mechanic):
    return garage.visit(state=states.ON_THE_BENCH)


def test_a_cause_counts_until_it_is_withdrawn(visit, mechanic):
    cause = causes.confirm(visit, fault="pickup-misaligned", words="0.8 mm low", by=mechanic, now=timezone.now())
    assert has_a_cause(visit)
    assert "0.8 mm low" in cause_lines(visit)[0].says
    causes.withdraw(cause, by=mechanic, now=timezone.now())
    assert not has_a_cause(visit)
    with pytest.raises(Refused, match="already withdrawn"):
        causes.withdraw(cause, by=mechanic, now=timezone.now())


def test_a_part_found_good_is_not_a_cause(visit, mechanic):
    causes.looked_good(visit, fault="reed-valve", by=mechanic, now=timezone.now())
    assert [line.cause.found_good for line in cause_lines(visit)] == [True]
    assert not has_a_cause(visit)


def test_a_cause_is_a_fault_from_the_bank_or_free_text(visit, mechanic):
    for given in ({"fault": "gremlins"}, {}, {"words": " "}, {"words": "x" * 161}):
        with pytest.raises(BadInput):
            causes.confirm(visit, by=mechanic, now=timezone.now(), **given)
    causes.confirm(visit, by=mechanic, now=timezone.now(), words="mouse nest in the air box")
    assert len(cause_lines(visit)) == 1


def test_the_same_finding_is_not_recorded_twice_or_before_arrival(visit, mechanic):
    causes.confirm(visit, fault="ht-side", by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="already"):
        causes.confirm(visit, fault="ht-side", by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="nothing has been looked at yet"):
        causes.confirm(garage.visit(), fault="ht-side", by=mechanic, now=timezone.now())
