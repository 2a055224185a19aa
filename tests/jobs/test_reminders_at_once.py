"""Several workers look for reminders at the same moment, on both databases: each owner is written to once."""

from __future__ import annotations

import pytest

from tests import servers

pytestmark = pytest.mark.long

WORKERS, VISITS = 4, 6
TEN = "datetime(2026, 1, 15, 10, tzinfo=UTC)"
ASKED_AT = "datetime(2026, 1, 6, 10, tzinfo=UTC)"

SET_UP = f"""
from datetime import UTC, datetime
from decimal import Decimal
from tests.factories import garage
from jobs.models.consents import Consent
garage.shop(ask_again_hours=24)
by = garage.boss()
for _ in range({VISITS}):
    visit = garage.visit(starts_at={TEN})
    Consent.objects.create(visit=visit, words="A chain", price=Decimal(9), asked_at={ASKED_AT}, asked_by=by)
"""
LOOK = f"""
from datetime import UTC, datetime, timedelta
from jobs.changes import asking_again, reminders
together()
reminders.remind_all(now={TEN} - timedelta(hours=72))
asking_again.ask_all_again(now={TEN} - timedelta(hours=72))
"""


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_each_owner_is_reminded_once_when_several_workers_look_at_once(kind, new_garage):
    with servers.resting_garage(*new_garage(kind)) as garage:
        garage.shell(SET_UP)
        garage.at_once([LOOK] * WORKERS)
        mails = "select what, count(*), count(distinct visit_id) from garage_message group by what order by what"
        names = ("may_we_do_more_again", "sheet_reminder")
        assert garage.rows(mails) == [(name, VISITS, VISITS) for name in names]
        assert garage.rows("select count(*) from garage_reminded") == [(VISITS,)]
