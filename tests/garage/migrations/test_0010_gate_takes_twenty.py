"""A shop of the release before, which planned ten minutes for the gate, plans twenty unless it chose its own."""

from importlib import import_module

import pytest
from django.apps import apps
from django.db import connection
from django.utils import timezone

from garage.changes.shop import shop as settings
from garage.models.visits import Step
from garage.reads.shop import the_shop
from tests.factories import garage

pytestmark = pytest.mark.django_db
takes_twenty = import_module("garage.migrations.0010_gate_takes_twenty").takes_twenty


def upgraded() -> int:
    takes_twenty(apps, connection.schema_editor())
    return the_shop().gate_minutes


def changed(**given: object) -> None:
    """Through the settings' own page, which sends all of them."""
    values = {"zone": "Europe/London", "holiday_country": "GB", "holiday_part": "ENG"}
    settings.change_settings(by=garage.boss(), now=timezone.now(), **values, **given)


def test_ten_minutes_that_nobody_chose_become_twenty():
    garage.shop(gate_minutes=10)
    planned = Step.objects.create(visit=garage.visit(), index=0, at="bench", minutes=10, what="gate", is_check=True)
    assert upgraded() == 20
    planned.refresh_from_db()
    assert planned.minutes == 10  # its day was sold with it


def test_minutes_that_the_shop_chose_stay():
    garage.shop(gate_minutes=15)
    assert upgraded() == 15
    changed(gate_minutes=10)
    assert upgraded() == 10


def test_another_setting_that_was_changed_is_no_choice_of_this_one():
    garage.shop(gate_minutes=10)
    changed(guard_minutes=5, gate_minutes=10)
    assert upgraded() == 20
