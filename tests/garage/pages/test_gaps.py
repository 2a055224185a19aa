"""Who was asked about a time that came free, until when, and the answer: both kinds."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext

from garage.changes.visit import offers, standby, visits
from garage.models.actors import OWNER
from garage.models.standby import Offer
from garage.pages.day_sheet import day_page
from garage.pages.gaps import gaps_on
from garage.reads.shop import the_shop
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db
H, MIN = timedelta(hours=1), timedelta(minutes=1)


@pytest.fixture
def start():
    garage.shop()
    garage.person()
    garage.person()
    garage.visit_kind(minutes=90)
    return booking.at_local(booking.workday(ahead=5), 14)


@pytest.fixture
def now(start):
    return start - 3 * H


@pytest.fixture
def gives(start):
    return booking.booked(garage.visit_kind(), start)


@pytest.fixture
def waits(gives, now):
    at = booking.at_local(booking.workday(ahead=9), 9)
    return booking.left_with_us(gives.kind, at, now=now, email="waits@example.org")


@pytest.fixture
def sooner(gives):
    at = booking.at_local(booking.workday(ahead=9), 14)
    made = booking.booked(gives.kind, at, email="sooner@example.org")
    standby.ask(made, notice_hours=0, weekdays=range(7), by=OWNER, now=made.booked_at)
    return made


def said(day, now):
    [gap] = gaps_on(day, the_shop(), now=now)
    return [(line.visit.number, line.asked, line.says) for line in gap.asked]


def test_first_the_machine_in_the_building_then_standby_each_with_its_time_and_answer(gives, waits, sooner, start, now):
    visits.call_off_by_owner(gives, why="", now=now)
    day = start.date()
    [gap] = gaps_on(day, the_shop(), now=now)
    assert (gap.asked, gap.is_open) == ((), True)
    offers.offer_all_due(now=now)
    here = (waits.number, "in the building, may the work go on?")
    assert said(day, now) == [(*here, "asked until 11:20")]
    offers.decline(Offer.objects.get(visit=waits), by=OWNER, now=now + 4 * MIN)
    offers.offer_all_due(now=now + 4 * MIN)
    there = (sooner.number, "on standby, offered it.")
    assert said(day, now + 5 * MIN) == [(*here, "no, not now, 11:04"), (*there, "asked until 11:24")]
    offers.accept(Offer.objects.get(visit=sooner), by=OWNER, now=now + 6 * MIN)
    assert said(day, now + 7 * MIN) == [(*here, "no, not now, 11:04"), (*there, "yes: it comes, 11:06")]
    assert not gaps_on(day, the_shop(), now=now)[0].is_open


def test_what_was_given_and_what_was_not_answered_is_said(gives, waits, sooner, start, now):
    visits.call_off_by_owner(gives, why="", now=now)
    offers.offer_all_due(now=now)
    assert said(start.date(), now + 20 * MIN)[0][2] == "no answer in time"
    Offer.objects.update(answer=Offer.GIVEN)
    assert said(start.date(), now)[0][1:] == ("in the building", "given it: its owner had agreed")
    Offer.objects.update(answer=Offer.GONE)
    assert said(start.date(), now)[0][2] == "another machine was sooner"


def test_a_time_that_nobody_was_asked_about_is_not_shown(gives, start, now):
    visits.call_off_by_owner(gives, why="", now=now)
    assert gaps_on(start.date(), the_shop(), now=now) == ()


def test_the_day_sheet_shows_them_with_the_way_to_answer_for_one_who_rings(gives, waits, start, now):
    visits.call_off_by_owner(gives, why="", now=now)
    offers.offer_all_due(now=now)
    page = day_page(start.date(), the_shop(), now=now)
    html = " ".join(render_to_string("garage/_gaps.html", {"gaps": page.gaps}).split())
    assert "14:00, 90 min at the rollers" in html
    assert "called off. Everybody can book it from 11:40 at the latest." in html
    assert "<b>Asked until 11:20.</b>" in html
    assert f"/visits/{waits.number}/standby/" in html


def test_the_day_sheet_on_paper_says_who_was_asked_too(gives, waits, start, now):
    visits.call_off_by_owner(gives, why="", now=now)
    offers.offer_all_due(now=now)
    shop = the_shop()
    paper = render_to_string("papers/day_sheet.html", {"page": day_page(start.date(), shop, now=now), "shop": shop})
    asked = f"{waits}, in the building, may the work go on? Asked until 11:20."
    says = f"Came free at 14:00, 90 min at the rollers. {asked}"
    assert " ".join(says.split()) in " ".join(paper.split())


def test_the_gaps_of_a_day_take_two_queries_however_many_there_are(gives, waits, sooner, start, now):
    visits.call_off_by_owner(gives, why="", now=now)
    offers.offer_all_due(now=now)
    shop = the_shop()
    with CaptureQueriesContext(connection) as seen:
        gaps_on(start.date(), shop, now=now)
    assert len(seen) == 2
