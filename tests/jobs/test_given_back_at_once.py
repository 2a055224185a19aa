"""Several people give back one kept deposit at the same moment, on both databases: never more than was kept."""

from __future__ import annotations

import os
import time

import pytest

from tests.jobs.test_reminders_at_once import done, program

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
import time
from decimal import Decimal
from pathlib import Path
from django.utils import timezone
from garage.core.errors import BadInput
from garage.models.people import Person
from jobs.changes import credit_notes
from jobs.models.book import KeptDeposit
folder, kept, by = Path({folder!r}), KeptDeposit.objects.get(), Person.objects.get(role="boss")
(folder / "ready-{name}").touch()
while not (folder / "go").exists():
    time.sleep(0.002)
given = dict(how="cash", why="He was ill.", by=by, now=timezone.now())
try:
    credit_notes.give_back(kept, amount=Decimal("20.00"), **given)
    print("GAVE")
except BadInput as trouble:
    print("REFUSED", trouble.found)
"""
COUNT = """
from jobs.models.book import CreditNote, Invoice, Payment
print("COUNTED", CreditNote.objects.count(), [*Invoice.objects.order_by("number").values_list("number", flat=True)])
print("PAID", [str(amount) for amount in Payment.objects.values_list("amount", flat=True)])
"""


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_no_more_goes_back_than_was_kept_when_several_give_it_back_at_once(kind, tmp_path, new_garage):
    data, database_url = new_garage(kind)
    database_url = database_url or f"sqlite:///{data / 'tickover.sqlite3'}"
    env = os.environ | {"DATABASE_URL": database_url, "DATA": str(data), "BROKER_URL": "filesystem://"}
    done(program(env, SET_UP))
    people = [program(env, GIVE.format(folder=str(tmp_path), name=name)) for name in range(PEOPLE)]
    try:
        until = time.monotonic() + 120
        while len(list(tmp_path.glob("ready-*"))) < PEOPLE:
            assert time.monotonic() < until, "the programs did not get ready"
            time.sleep(0.02)
        (tmp_path / "go").touch()
        said = sorted(done(one).split()[-1] for one in people)
    finally:
        for one in people:
            one.kill()
    assert said == ["GAVE", *["£20.00"] * (PEOPLE - 1)]
    counted = done(program(env, COUNT))
    assert "COUNTED 1 [1, 2]" in counted
    assert "PAID ['30.00', '-20.00']" in counted
