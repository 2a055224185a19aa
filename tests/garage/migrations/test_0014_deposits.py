"""What the release before left: messages that nobody got, deposits awaited, deposits of visits that are over."""

from datetime import UTC, date, datetime
from decimal import Decimal
from importlib import import_module

import pytest
from django.apps import apps
from django.db import connection
from django.utils import timezone

from garage.core import states
from garage.models.messages import Message
from garage.models.visits import Visit
from garage.reads.messages import to_tell
from tests.factories import garage

pytestmark = pytest.mark.django_db
migration = import_module("garage.migrations.0014_deposits")
PAID = Decimal("30")


def run(step):
    step(apps, connection.schema_editor())


def test_nobody_is_asked_to_ring_about_messages_of_before():
    garage.shop()
    now = timezone.now()
    values = {"what": "visit_booked", "visit": garage.visit(), "written_at": now, "due_at": now, "tries": 8}
    nobody, refused = (Message.objects.create(to=to, **values) for to in ("", "pat@example.org"))
    run(migration.told_long_ago)
    nobody.refresh_from_db()
    assert nobody.told_at == now
    assert list(to_tell(now)) == [refused]


def test_a_deposit_awaited_has_the_day_before_its_visit():
    starts_at = datetime(2026, 3, 12, 10, tzinfo=UTC)
    awaited = garage.visit(state=states.DEPOSIT_AWAITED, starts_at=starts_at)
    booked = garage.visit(starts_at=starts_at)
    run(migration.begin)
    assert Visit.objects.get(pk=awaited.pk).deposit_due_on == date(2026, 3, 11)
    assert Visit.objects.get(pk=booked.pk).deposit_due_on is None


def test_a_deposit_of_a_visit_that_is_over_is_to_be_decided_upon():
    over = [garage.visit(state=state, deposit_paid=PAID) for state in (states.CALLED_OFF, states.DID_NOT_COME)]
    others = [garage.visit(state=states.COLLECTED, deposit_paid=PAID), garage.visit(state=states.CALLED_OFF)]
    run(migration.begin)
    assert [Visit.objects.get(pk=visit.pk).deposit_then for visit in over] == ["decide", "decide"]
    assert [Visit.objects.get(pk=visit.pk).deposit_then for visit in others] == ["", ""]
