"""Calendars by their secret address, and the pages that show and change it."""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from garage.changes.people.people import change
from garage.models.people import Person
from garage.models.shop import Station
from garage.models.visits import Step
from garage.reads.secret_links import feed_token
from tests.factories import garage as make
from tests.garage.output.rfc5545 import calendar_read

pytestmark = pytest.mark.django_db


@pytest.fixture
def ada():
    make.shop()
    return make.person(first_name="Ada")


def address(whose):
    return reverse("feed", args=[feed_token(whose)])


def test_a_calendar_is_read_by_whoever_has_its_address(client, ada):
    answer = client.get(address(ada))
    assert (answer.status_code, answer["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    assert calendar_read(answer.content).text("NAME") == "Work at Quarry Lane Rolling Road"
    assert answer["Cache-Control"] == "private, no-cache"
    assert answer["X-Robots-Tag"] == "noindex"
    assert not answer.cookies


def test_it_is_not_sent_again_while_nothing_has_changed(client, ada):
    first = client.get(address(ada))
    again = client.get(address(ada), headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content, again["ETag"]) == (304, b"", first["ETag"])
    visit = make.visit(starts_at=make.next_workday_at(10))
    Step.objects.create(visit=visit, index=0, at="roller", minutes=90, what="set-up")
    assert client.get(address(ada), headers={"If-None-Match": first["ETag"]}).status_code == 200


def test_its_head_is_asked_for_without_the_body(client, ada):
    answer = client.head(address(ada))
    assert (answer.status_code, answer.content, answer["Content-Type"][:13]) == (200, b"", "text/calendar")
    assert client.post(address(ada)).status_code == 405


def test_an_unknown_address_answers_like_every_dead_link(client, ada):
    visit = reverse("owner-visit", args=["1-1.forged"])
    for dead in ("1-1.forged", "nothing", feed_token(ada)[:-2]):
        answer = client.get(reverse("feed", args=[dead]))
        assert answer.status_code == client.get(visit).status_code == 410
        assert answer["Cache-Control"] == "private, no-store"
        assert "This link has run out" in answer.text
        assert "sessionid" not in answer.cookies


def test_the_calendar_of_somebody_who_has_left_is_a_dead_link(client, ada):
    boss = make.boss()
    values = {"username": ada.username, "role": ada.role, "is_active": False}
    change(ada, by=boss, now=timezone.now(), **values)
    assert client.get(address(ada)).status_code == 410


def test_people_see_their_own_address_and_change_it(client, ada):
    client.force_login(ada)
    before = address(ada)
    assert before in client.get(reverse("account")).text
    answer = client.post(reverse("account-feed"), follow=True)
    assert "The old one is dead" in answer.text
    ada.refresh_from_db()
    assert (before in answer.text, address(ada) in answer.text) == (False, True)
    assert Client().get(before).status_code == 410
    assert Client().get(address(ada)).status_code == 200


def test_who_works_at_no_station_has_no_calendar_to_show(client, ada):
    desk = make.front_desk()
    client.force_login(desk)
    assert address(desk) not in client.get(reverse("account")).text


def test_the_boss_sees_each_stations_address_and_changes_one(client, ada):
    boss = make.boss()
    client.force_login(boss)
    rollers, *benches = Station.objects.order_by("-kind", "number")
    page = client.get(reverse("shop-stations")).text
    assert all(address(station) in page for station in (rollers, *benches))
    before = address(rollers)
    answer = client.post(reverse("shop-station-feed", args=[rollers.pk]), follow=True)
    rollers.refresh_from_db()
    assert (before in answer.text, address(rollers) in answer.text) == (False, True)
    assert all(address(bench) in answer.text for bench in benches)
    assert Client().get(before).status_code == 410


def test_only_the_boss_changes_a_stations_address(client, ada):
    rollers = Station.objects.get(kind="roller")
    client.force_login(ada)
    assert client.post(reverse("shop-station-feed", args=[rollers.pk])).status_code == 403
    assert Person.objects.get(pk=ada.pk).feed_generation == Station.objects.get(kind="roller").feed_generation == 1
