"""The page of thanks."""

from datetime import timedelta

import pytest
from django.utils import timezone

from garage.pages.booked import booked_page
from tests.factories import garage
from tests.factories.addresses import personal_address

pytestmark = pytest.mark.django_db
NOW = timezone.now()


def test_the_page_of_thanks_carries_the_links_of_the_mail_and_when_to_be_there():
    start = garage.next_workday_at(10)
    visit = garage.visit(booked_at=NOW, at="roller", starts_at=start, minutes=90)
    page = booked_page(visit.number, now=NOW)
    assert page.arrive_at == start - timedelta(minutes=30)
    assert (page.sheet_url, page.visit_url) == (personal_address(visit, "sheet"), personal_address(visit, "visit"))


@pytest.mark.parametrize(("ago", "is_shown"), [(timedelta(hours=23), True), (timedelta(hours=25), False)])
def test_after_a_day_the_browser_may_be_somebody_elses(ago, is_shown):
    visit = garage.visit(booked_at=NOW - ago)
    assert (booked_page(visit.number, now=NOW) is not None) == is_shown


@pytest.mark.parametrize("number", [None, 999])
def test_without_a_booking_there_is_nothing_to_thank_for(number):
    assert booked_page(number, now=NOW) is None
