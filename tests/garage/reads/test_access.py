"""The doors to a visit."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.http import Http404
from django.utils import timezone

from garage.core import states
from garage.models.visits import Visit
from garage.reads import access, links
from tests.factories import garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    garage.shop()
    return garage.visit()


@pytest.mark.parametrize("purpose", links.PURPOSES)
def test_a_link_opens_its_own_visit_for_its_own_purpose(visit, purpose):
    other = next(each for each in links.PURPOSES if each != purpose)
    token = links.token(visit, purpose)
    assert access.visit_by_link(token, purpose, now=timezone.now()) == visit
    assert access.visit_by_link(token, other, now=timezone.now()) is None


def test_a_revoked_link_opens_nothing(visit):
    token = links.token(visit, "visit")
    Visit.objects.update(link_generation=2)
    assert access.visit_by_link(token, "visit", now=timezone.now()) is None


@pytest.mark.parametrize("token", ["", "1-1.x", "1-1", "nonsense", "é.ü"])
def test_an_invented_link_opens_nothing(visit, token):
    assert access.visit_by_link(token, "visit", now=timezone.now()) is None


def test_the_sheets_link_lives_until_arrival_and_the_visits_for_a_year_after_collection(visit):
    sheet, own = links.token(visit, "sheet"), links.token(visit, "visit")
    Visit.objects.update(state=states.HERE, arrived_at=timezone.now())
    assert access.visit_by_link(sheet, "sheet", now=timezone.now()) is None
    assert access.visit_by_link(own, "visit", now=timezone.now()) == visit
    Visit.objects.update(state=states.COLLECTED, collected_at=timezone.now() - timedelta(days=364))
    assert access.visit_by_link(own, "visit", now=timezone.now()) == visit
    Visit.objects.update(collected_at=timezone.now() - timedelta(days=366))
    assert access.visit_by_link(own, "visit", now=timezone.now()) is None


def test_staff_find_a_visit_by_its_number(visit):
    assert access.visit_for(garage.person(), visit.number) == visit


def test_an_unknown_number_and_somebody_who_left_are_answered_alike(visit):
    with pytest.raises(Http404):
        access.visit_for(garage.person(), visit.number + 1)
    with pytest.raises(Http404):
        access.visit_for(garage.person(is_active=False), visit.number)


def test_a_kind_no_longer_offered_cannot_be_booked():
    garage.visit_kind(slug="old", is_offered=False)
    kind = garage.visit_kind(slug="set-up")
    assert access.kind_by_slug("set-up") == kind
    with pytest.raises(Http404):
        access.kind_by_slug("old")
