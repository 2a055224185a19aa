"""Several workers look for reminders at the same moment, on both databases: each owner is written to once."""

from __future__ import annotations

import pytest

from tests import servers

pytestmark = pytest.mark.long

WORKERS, VISITS = 4, 6
TEN = "datetime(2026, 1, 15, 10, tzinfo=UTC)"

SET_UP = f"""
from datetime import UTC, datetime
from tests.factories import garage
garage.shop()
for _ in range({VISITS}):
    garage.visit(starts_at={TEN})
"""
LOOK = f"""
from datetime import UTC, datetime, timedelta
from jobs.changes import reminders
together()
reminders.remind_all(now={TEN} - timedelta(hours=72))
"""


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_each_owner_is_reminded_once_when_several_workers_look_at_once(kind, new_garage):
    with servers.resting_garage(*new_garage(kind)) as garage:
        garage.shell(SET_UP)
        garage.at_once([LOOK] * WORKERS)
        assert garage.rows("select count(*), count(distinct visit_id) from garage_message") == [(VISITS, VISITS)]
        assert garage.rows("select count(*) from garage_reminded") == [(VISITS,)]
