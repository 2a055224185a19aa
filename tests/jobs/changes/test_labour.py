from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from garage.core.errors import BadInput, Refused
from garage.models.trail import TrailRow
from jobs.changes import labour
from jobs.models.cards import Labour
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db


def test_a_second_clock_is_refused_naming_where_the_first_runs():
    by, first, second = garage.person(), jobs.visit_here(), jobs.visit_here()
    labour.start(first, by=by, now=timezone.now())
    with pytest.raises(Refused, match=f"is running on visit {first.number}, Corrick 185"):
        labour.start(second, by=by, now=timezone.now())


def test_two_people_have_a_clock_each_on_one_card():
    visit = jobs.visit_here()
    labour.start(visit, by=garage.person(), now=timezone.now())
    labour.start(visit, by=garage.person(), now=timezone.now())
    assert visit.card.labour.filter(ended_at=None).count() == 2


def test_the_database_itself_keeps_one_clock_a_person():
    card = jobs.card()
    labour.start(card.visit, by=card.opened_by, now=timezone.now())
    with pytest.raises(IntegrityError), transaction.atomic():
        Labour.objects.create(card=card, by=card.opened_by, began_at=timezone.now())


def test_after_stopping_another_clock_can_be_started():
    by, first, second = garage.person(), jobs.visit_here(), jobs.visit_here()
    clock = labour.start(first, by=by, now=timezone.now())
    labour.stop(clock, by=by, now=timezone.now())
    assert labour.start(second, by=by, now=timezone.now()).card.visit == second
    with pytest.raises(Refused, match="already stopped"):
        labour.stop(clock, by=by, now=timezone.now())


def test_a_forgotten_clock_is_stopped_by_somebody_else_with_both_names_in_the_trail():
    visit, boss = jobs.visit_here(), garage.boss()
    clock = labour.start(visit, by=garage.person(first_name="Jo"), now=timezone.now())
    labour.stop(clock, by=boss, now=timezone.now())
    row = TrailRow.objects.filter(visit=visit).first()
    assert (row.by, row.did) == (boss, "stopped Jo's clock after 0 min")


def test_a_clock_is_put_right_only_downwards():
    card = jobs.card()
    clock = jobs.labour(card, minutes=600)
    with pytest.raises(BadInput, match="0 to 600"):
        labour.put_right(clock, minutes=601, by=card.opened_by, now=timezone.now())
    labour.put_right(clock, minutes=45, by=card.opened_by, now=timezone.now())
    clock.refresh_from_db()
    assert clock.ended_at - clock.began_at == timedelta(minutes=45)
    assert "45 min instead of 600" in TrailRow.objects.filter(visit=card.visit).first().did
