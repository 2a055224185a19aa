"""What we learned as a page, with nothing, with too few and with enough."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from diagnostics.changes import causes, learning
from garage.core import states
from garage.models.standby import FreedTime
from tests.factories import garage
from tests.factories.diagnostics import FALSE_CEILING, answered

pytestmark = pytest.mark.django_db


@pytest.fixture
def boss(client):
    garage.shop()
    person = garage.boss()
    client.force_login(person)
    return person


@pytest.fixture
def one_closed(boss):
    visit = answered(garage.visit(), FALSE_CEILING)
    visit.refresh_from_db()
    visit.state, visit.arrived_at = states.HERE, visit.judgements.first().at.replace(year=2099)
    visit.save()
    causes.confirm(visit, fault="spark-module", by=boss, now=timezone.now())
    learning.card_closed(visit, by=boss, now=timezone.now())
    return visit


def test_before_any_card_is_closed_it_says_so(client, boss):
    page = client.get(reverse("learned"))
    assert page.status_code == 200
    assert "No card is closed yet" in page.text


def test_what_was_given_back_stands_there_with_or_without_closed_cards(client, boss):
    assert "No time was given back in the last year." in client.get(reverse("learned")).text
    now = timezone.now().replace(minute=0, second=0, microsecond=0)
    FreedTime.objects.create(
        at="roller",
        place=1,
        starts_at=now - timedelta(hours=3),
        minutes=90,
        visit=garage.visit(),
        why="no-show",
        price=120,
        freed_at=now - timedelta(hours=2),
    )
    page = client.get(reverse("learned")).text
    assert "Of 90 minutes given back in the last year, <b>90 were lost</b>, worth £120.00." in page


def test_too_few_cases_are_reported_everywhere(client, one_closed):
    page = client.get(reverse("learned")).text
    assert "1 of 1 closed card can be compared with a judgement" in page
    assert page.count("oo few to say") >= 5
    assert "%)" not in page  # no interval is said
    assert "better than the base rate" not in page


@pytest.mark.parametrize("subject", ["spoilt", "ignition", "fuel-air", "mechanical", "nothing-wrong"])
def test_each_subject_has_its_bands_and_their_picture(client, one_closed, subject):
    page = client.get(reverse("learned"), {"of": subject})
    picture = reverse("learned-bands", args=[subject])
    assert picture in page.text
    assert client.get(picture)["Content-Type"] == "image/svg+xml"
    assert client.get(reverse("learned-faults"))["Content-Type"] == "image/svg+xml"


def test_an_unknown_subject_is_not_found(client, boss):
    assert client.get(reverse("learned"), {"of": "weather"}).status_code == 404
    assert client.get(reverse("learned-bands", args=["weather"])).status_code == 404


def test_a_card_not_learned_from_is_named_with_why(client, boss, one_closed):
    causes.confirm(one_closed, words="a cracked rubber", by=boss, now=timezone.now())
    learning.count_all_anew(now=timezone.now())
    page = client.get(reverse("learned")).text
    assert "A cause in the mechanic’s own words" in page
    assert reverse("card", args=[one_closed.number]) in page


def test_a_card_with_several_causes_is_counted_and_the_rule_is_said(client, boss, one_closed):
    causes.confirm(one_closed, fault="air-leak", by=boss, now=timezone.now())
    learning.count_all_anew(now=timezone.now())
    page = client.get(reverse("learned")).text
    assert "and 1 with several causes." in page
    assert "each cause of the bank that a card names counts in full, one or several" in page


@pytest.mark.parametrize("name", ["learned", "learned-faults"])
def test_page_and_pictures_need_the_same_access(client, name):
    assert client.get(reverse(name)).url.startswith(reverse("log-in"))
    assert client.get(reverse("learned-bands", args=["spoilt"])).url.startswith(reverse("log-in"))


def test_the_past_weeks_are_a_page_of_their_own_that_says_when_they_are_too_few(client, one_closed):
    address = reverse("learned-weeks")
    assert f'href="{address}"' in client.get(reverse("learned")).text
    page = client.get(address).text
    assert "Too few days to say: in the last 13 weeks, 0 had machines booked for the rollers" in page
    assert "<table" not in page
