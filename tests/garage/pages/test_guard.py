"""What the settings page shows of clear minutes before promised times."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.models.shop import Shop
from garage.models.visits import Step
from garage.pages.guard import DAYS_MOST, guard_shown
from tests.factories import garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop() -> Shop:
    garage.person()
    return garage.shop(guard_minutes=15)


def a_visit(at) -> None:
    visit = garage.visit(starts_at=at)
    Step.objects.create(visit=visit, index=0, at="bench", minutes=10, what="gate", is_check=True)
    Step.objects.create(visit=visit, index=1, at="roller", minutes=90, what="set-up")


def workdays(count: int):
    at = garage.next_workday_at(10)
    while count:
        if timezone.localtime(at).weekday() < 5:
            count -= 1
            yield at
        at += timedelta(days=1)


def test_the_coming_days_with_visits_are_planned_with_it_and_without(shop):
    for at in workdays(2):
        a_visit(at)
    told = guard_shown(shop, now=timezone.now())
    assert (told.minutes, told.is_set, len(told.rows)) == (15, True, 2)
    assert [row.figures.promises for row in told.rows] == [1, 1]
    assert told.sentences[0] == "2 of 2 promised times have 15 clear minutes before them, with it or without."
    assert [(row.left_out, row.left_out_without) for row in told.rows] == [("£0", "£0")] * 2


def test_at_most_five_days_are_planned(shop):
    for at in workdays(DAYS_MOST + 2):
        a_visit(at)
    assert len(guard_shown(shop, now=timezone.now()).rows) == DAYS_MOST


def test_a_shop_that_keeps_none_is_told_of_the_usual_ones(shop):
    shop.guard_minutes = 0
    told = guard_shown(shop, now=timezone.now())
    assert (told.minutes, told.is_set, told.rows, told.sentences) == (10, False, (), ())


def test_the_settings_page_says_it_and_in_general_words_without_a_visit(client, shop):
    client.force_login(garage.boss())
    page = client.get(reverse("shop")).text
    assert "What 15 clear minutes bring and cost" in page
    assert "No visit is booked for the next four weeks." in page
    assert "Clear minutes before a promised time" in page
    a_visit(next(workdays(1)))
    page = client.get(reverse("shop")).text
    assert "The next day with visits, planned with them and without: The one promised time has 15 clear" in page
    assert "1, without 1" in page
