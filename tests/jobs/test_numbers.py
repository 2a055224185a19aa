"""Invoice numbers when several people press the button at once, and some of their transactions fail midway."""

from __future__ import annotations

import pytest

from tests import servers

pytestmark = pytest.mark.long

PEOPLE, EACH = 6, 5  # processes at once, visits each

SET_UP = """
from decimal import Decimal
from tests.factories import garage, jobs
by = garage.boss()
for _ in range({count}):
    jobs.part(jobs.closed_card(by=by), price_each=Decimal("4.50"))
from garage.models.visits import Visit
print(*Visit.objects.order_by("number").values_list("number", flat=True))
"""

# Issues the invoices of its visits. The first is tried once before, in a transaction that fails at its end.
ISSUE = """
from django.db import transaction
from django.utils import timezone
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.changes import invoices
class LightOut(Exception): pass
visits, by = [Visit.objects.get(number=number) for number in {numbers!r}], Person.objects.get(role="boss")
together()
try:
    with transaction.atomic():
        invoices.issue(visits[0], by=by, now=timezone.now())
        raise LightOut
except LightOut:
    print("FAILED MIDWAY")
for visit in visits:
    invoices.issue(visit, by=by, now=timezone.now())
"""


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_numbers_have_no_gap_or_duplicate_when_many_issue_at_once_and_some_fail(kind, new_garage):
    with servers.resting_garage(*new_garage(kind)) as garage:
        numbers = [int(word) for word in garage.shell(SET_UP.format(count=PEOPLE * EACH)).split()[-PEOPLE * EACH :]]
        said = garage.at_once([ISSUE.format(numbers=numbers[index::PEOPLE]) for index in range(PEOPLE)])
        assert ["FAILED MIDWAY" in words for words in said] == [True] * PEOPLE
        issued = garage.rows("select number from jobs_invoice order by number")
    assert [number for (number,) in issued] == list(range(1, PEOPLE * EACH + 1))
