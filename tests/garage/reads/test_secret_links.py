"""Secret addresses of calendars and the wall: signed, one for each, dead once changed."""

import pytest
from django.utils import timezone

from garage.changes.shop import secret_links as changes
from garage.models.people import Person
from garage.models.shop import Station
from garage.models.trail import TrailRow
from garage.reads import links
from garage.reads.secret_links import feed_token, opens_the_wall, wall_token, whose_feed
from garage.reads.shop import the_shop
from tests.factories import garage as make

pytestmark = pytest.mark.django_db


@pytest.fixture
def boss():
    make.shop()
    return make.boss(first_name="Robin")


def test_an_address_opens_the_calendar_that_it_was_made_for(boss):
    bench, rollers = Station.objects.filter(kind="bench").first(), Station.objects.get(kind="roller")
    for one in (boss, make.person(), bench, rollers):
        assert whose_feed(feed_token(one)) == one


def test_a_changed_address_is_dead_at_once_and_the_new_one_lives(boss):
    station, other = Station.objects.order_by("pk")[:2]
    before = {one: feed_token(one) for one in (boss, station, other)}
    now = timezone.now()
    changes.change_own_feed(boss, now=now)
    changes.change_station_feed(station, by=boss, now=now)
    assert whose_feed(before[boss]) is whose_feed(before[station]) is None
    assert whose_feed(before[other]) == other
    boss.refresh_from_db()
    station.refresh_from_db()
    assert (whose_feed(feed_token(boss)), whose_feed(feed_token(station))) == (boss, station)
    assert [row.did for row in TrailRow.objects.order_by("pk")] == [
        "changed the address of their own calendar",
        f"changed the address of {station.name}'s calendar",
    ]


def test_the_wall_has_an_address_that_the_boss_changes(boss):
    shop = the_shop()
    before = wall_token(shop)
    assert opens_the_wall(before, shop)
    changes.change_wall(by=boss, now=timezone.now())
    shop = the_shop()
    assert (opens_the_wall(before, shop), opens_the_wall(wall_token(shop), shop)) == (False, True)
    assert TrailRow.objects.get().did == "changed the address of the wall"


def test_the_calendar_of_somebody_who_has_left_ends(boss):
    left = make.person()
    Person.objects.filter(pk=left.pk).update(is_active=False)
    assert whose_feed(feed_token(left)) is None


def test_no_address_opens_anything_else(boss):
    person, station, shop = boss, Station.objects.first(), the_shop()
    assert not opens_the_wall(feed_token(person), shop)
    assert not opens_the_wall(wall_token(shop), None)
    assert whose_feed(wall_token(shop)) is None
    assert whose_feed(links.token(make.visit(), links.VISIT)) is None
    for forged in ("", "1-1", "1-1.forged", feed_token(station)[:-1], feed_token(station).replace("-1.", "-2.")):
        assert whose_feed(forged) is None
        assert not opens_the_wall(forged, shop)
