"""An owner asks to come sooner, and no longer does."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.visit import standby
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.actors import OWNER
from garage.models.standby import Standby
from garage.models.visits import Visit
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


def test_the_notice_and_the_days_are_kept_and_changing_them_keeps_the_place_in_the_line(visit):
    now = timezone.now()
    row = standby.ask(visit, notice_hours=24, weekdays=[4, 0, 0], by=OWNER, now=now)
    assert (row.notice_hours, row.weekdays, row.asked_at) == (24, "04", now)
    check_noted("on standby: 24 hours' notice, Monday, Friday", by=OWNER, at=now, visit=visit)
    standby.ask(visit, notice_hours=2, weekdays=[1], by=OWNER, now=now + timedelta(hours=1))
    row = Standby.objects.get()
    assert (row.notice_hours, row.weekdays, row.asked_at) == (2, "1", now)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"weekdays": []}, "Days"),
        ({"weekdays": [7]}, "Days"),
        ({"notice_hours": -1}, "Notice"),
        ({"notice_hours": 337}, "Notice"),
    ],
)
def test_what_can_not_be_is_refused(visit, given, words):
    with pytest.raises(BadInput, match=words):
        standby.ask(visit, **{"notice_hours": 24, "weekdays": [0]} | given, by=OWNER, now=timezone.now())
    assert not Standby.objects.exists()


def test_a_machine_that_is_here_or_gone_waits_for_nothing_sooner(visit):
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE)
    with pytest.raises(Refused, match="here"):
        standby.ask(visit, notice_hours=24, weekdays=[0], by=OWNER, now=timezone.now())


def test_it_is_ended_once(visit):
    now = timezone.now()
    standby.ask(visit, notice_hours=24, weekdays=[0], by=OWNER, now=now)
    standby.no_longer(visit, by=OWNER, now=now)
    check_noted("off standby", by=OWNER, at=now, visit=visit)
    with refuses("This visit does not stand by for an earlier time."):
        standby.no_longer(visit, by=OWNER, now=now)
