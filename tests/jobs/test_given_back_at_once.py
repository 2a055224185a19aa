"""Several people give back one kept deposit, or credit one invoice, at the same moment, on both databases: never more
than was kept, never more than is left.
"""

from __future__ import annotations

import pytest

from tests import servers

pytestmark = pytest.mark.long

PEOPLE = 4
SET_UP = """
from datetime import timedelta
from decimal import Decimal
from django.utils import timezone
from garage.changes.visit import visits
from garage.core import states
from jobs.changes import kept_deposits, payments
from tests.factories import garage
now, by, whole = timezone.now(), garage.boss(), Decimal("30.00")
garage.shop()
visit = garage.visit(state=states.DEPOSIT_AWAITED, deposit=whole, starts_at=now - timedelta(hours=3))
payments.deposit(visit, amount=whole, how="cash", by=by, now=now)
visits.did_not_come(visit, by=by, now=now)
kept_deposits.keep(visit, why="Nobody came.", by=by, now=now)
"""
GIVE = """
from decimal import Decimal
from django.utils import timezone
from garage.core.errors import BadInput
from garage.models.people import Person
from jobs.changes import credit_notes
from jobs.models.book import KeptDeposit
kept, by = KeptDeposit.objects.get(), Person.objects.get(role="boss")
together()
given = dict(how="cash", why="He was ill.", by=by, now=timezone.now())
try:
    credit_notes.give_back(kept, amount=Decimal("20.00"), **given)
    print("GAVE")
except BadInput as trouble:
    print("REFUSED", trouble.found)
"""

SOLD = """
from decimal import Decimal
from django.utils import timezone
from garage.models.people import Person
from jobs.changes.counter_sales import Sold, sell
line, by = Sold("Spark plug", Decimal(1), Decimal("30.00")), Person.objects.get(role="boss")
sell(lines=[line], owner=None, buyer_name="", buyer_address="", how="cash", by=by, now=timezone.now())
"""
CREDIT = """
from decimal import Decimal
from django.utils import timezone
from garage.core.errors import BadInput
from garage.models.people import Person
from jobs.changes import credit_notes
from jobs.models.book import Invoice
sold, by = Invoice.objects.get(visit=None, credit_note=None), Person.objects.get(role="boss")
together()
try:
    credit_notes.credit(sold, amounts={1: Decimal("20.00")}, how="cash", why="Brought back.", by=by, now=timezone.now())
    print("GAVE")
except BadInput as trouble:
    print("REFUSED", trouble.found)
"""


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_no_more_goes_back_than_was_kept_when_several_give_it_back_at_once(kind, new_garage):
    with servers.resting_garage(*new_garage(kind)) as garage:
        garage.shell(SET_UP)
        said = sorted(words.split()[-1] for words in garage.at_once([GIVE] * PEOPLE))
        assert said == ["GAVE", *["£20.00"] * (PEOPLE - 1)]
        assert garage.rows("select count(*) from jobs_creditnote") == [(1,)]
        assert garage.rows("select number from jobs_invoice order by number") == [(1,), (2,)]
        paid = garage.rows("select cast(amount as text) from jobs_payment order by id")
        assert [float(amount) for (amount,) in paid] == [30, -20]
        garage.shell(SOLD)
        said = sorted(words.split()[-1] for words in garage.at_once([CREDIT] * PEOPLE))
        assert said == ["GAVE", *["£20.00"] * (PEOPLE - 1)]
        paid = garage.rows("select cast(amount as text) from jobs_payment order by id")
        assert [float(amount) for (amount,) in paid] == [30, -20, 30, -20]
