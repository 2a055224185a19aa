from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.shop import stations
from garage.core.errors import Refused
from garage.models.shop import Station
from garage.models.visits import SoldPiece
from tests.factories import garage as make
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


@pytest.fixture
def boss():
    make.shop()
    return make.boss()


def station(kind, number):
    return Station.objects.get(kind=kind, number=number)


def sell(place, ahead):
    begins_at = (timezone.now() + ahead).replace(minute=0, second=0, microsecond=0)
    SoldPiece.objects.create(at="bench", place=place, begins_at=begins_at, visit=make.visit())


def test_a_new_station_is_the_next_of_its_kind(boss):
    assert stations.add(kind="bench", name="Bench by the door", by=boss, now=timezone.now()).number == 3
    assert stations.add(kind="roller", name="Second roller", by=boss, now=timezone.now()).number == 2


def test_a_station_is_renamed_and_keeps_its_number(boss):
    stations.rename(station("bench", 1), name="Window bench", by=boss, now=timezone.now())
    assert station("bench", 1).name == "Window bench"


def test_the_last_of_its_kind_can_go(boss):
    stations.remove(station("bench", 2), by=boss, now=timezone.now())
    assert Station.objects.filter(kind="bench").count() == 1


def test_an_earlier_one_stays_so_that_numbers_have_no_gap(boss):
    with pytest.raises(Refused, match="Only the last"):
        stations.remove(station("bench", 1), by=boss, now=timezone.now())


def test_the_only_roller_stays(boss):
    with pytest.raises(Refused, match="at least one roller"):
        stations.remove(station("roller", 1), by=boss, now=timezone.now())


def test_a_bench_with_time_sold_ahead_stays_until_the_visits_are_moved(boss):
    sell(place=2, ahead=timedelta(days=3))
    with pytest.raises(Refused, match="times sold ahead"):
        stations.remove(station("bench", 2), by=boss, now=timezone.now())
    SoldPiece.objects.all().delete()
    sell(place=1, ahead=timedelta(days=3))
    sell(place=2, ahead=timedelta(days=-3))
    stations.remove(station("bench", 2), by=boss, now=timezone.now())


def test_each_change_of_a_station_is_noted(boss):
    now, kept = timezone.now(), {"by": boss, "about": "the shop"}
    row = stations.add(kind="bench", name="Door", by=boss, now=now)
    check_noted("added Door (bench 3)", at=now, **kept)
    row.refresh_from_db()
    assert (row.kind, row.number, row.name) == ("bench", 3, "Door")
    stations.rename(row, name="Window", by=boss, now=now)
    check_noted("renamed Door to Window", at=now, **kept)
    stations.remove(row, by=boss, now=now)
    check_noted("removed Window", at=now, **kept)


def test_each_refusal_to_remove_a_station_says_why(boss):
    now = timezone.now()
    with refuses("Only the last of the bench can be removed. Rename the others as you need."):
        stations.remove(station("bench", 1), by=boss, now=now)
    with refuses("A rolling road keeps at least one roller."):
        stations.remove(station("roller", 1), by=boss, now=now)
    sell(place=2, ahead=timedelta(days=3))
    with refuses("Bench 2 has times sold ahead. Move those visits first."):
        stations.remove(station("bench", 2), by=boss, now=now)


def test_a_time_counts_as_ahead_until_it_has_begun_and_only_where_the_station_is_needed(boss):
    sell(place=2, ahead=timedelta(days=3))
    begins_at = SoldPiece.objects.get().begins_at
    with pytest.raises(Refused):
        stations.remove(station("bench", 2), by=boss, now=begins_at)
    SoldPiece.objects.update(at="roller")
    stations.remove(station("bench", 2), by=boss, now=begins_at)


def test_a_second_roller_and_the_only_bench_can_go(boss):
    now = timezone.now()
    stations.remove(stations.add(kind="roller", name="Second", by=boss, now=now), by=boss, now=now)
    for number in (2, 1):
        stations.remove(station("bench", number), by=boss, now=now)
    assert [row.kind for row in Station.objects.all()] == ["roller"]
