from datetime import time
from decimal import Decimal

import pytest
from django.utils import timezone

from garage.changes.shop.begin import begin, found
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.shop import OpeningHours, Shop, Station, VisitKind
from garage.models.trail import TrailRow
from tests.factories import garage as make
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
GARAGE = {
    "garage": "Quarry Lane Rolling Road",
    "email": "garage@example.com",
    "telephone": "01632 960100",
    "log_in_name": "boss",
    "password": "ambleford-lane-7",
}


def test_a_garage_begins_with_a_boss_who_can_log_in_and_set_the_rest(client):
    boss = begin(**GARAGE, now=timezone.now())
    assert client.login(username="boss", password="ambleford-lane-7")
    assert boss.is_boss
    assert client.get("/shop/").status_code == 200
    assert client.get("/shop/people/").status_code == 200


def test_nothing_without_a_price_is_offered_online():
    begin(**GARAGE, now=timezone.now())
    assert not VisitKind.objects.filter(is_offered=True).exists()


def test_a_garage_that_has_begun_is_left_alone():
    make.boss()
    with pytest.raises(Refused, match="already set up"):
        begin(**GARAGE, now=timezone.now())
    assert not Shop.objects.exists()


def test_a_weak_password_leaves_nothing_behind():
    with pytest.raises(BadInput, match="Password"):
        begin(**GARAGE | {"password": "12345678"}, now=timezone.now())
    assert not Shop.objects.exists()
    assert not Person.objects.exists()


def test_a_garage_begins_with_a_week_a_roller_a_bench_and_three_kinds_of_visit():
    now = timezone.now()
    boss = begin(**GARAGE, now=now)
    shop = Shop.objects.get()
    assert (shop.pk, shop.name, shop.telephone) == (1, "Quarry Lane Rolling Road", "01632 960100")
    assert (shop.email, shop.labour_per_hour) == ("garage@example.com", Decimal("45.00"))
    assert (boss.username, boss.first_name, boss.role, boss.does_rollers) == ("boss", "Boss", "boss", True)
    opening = [(row.weekday, row.opens, row.closes) for row in OpeningHours.objects.order_by("weekday")]
    assert opening == [(day, time(8), time(17, 30)) for day in range(5)]
    hours = [(row.weekday, row.begins, row.ends, row.break_begins, row.break_ends) for row in boss.hours.all()]
    assert sorted(hours) == [(day, time(8), time(17, 30), time(12, 30), time(13)) for day in range(5)]
    stations = sorted(Station.objects.values_list("kind", "number", "name"))
    assert stations == [("bench", 1, "Bench 1"), ("roller", 1, "Rollers")]
    kinds = [
        (kind.slug, kind.booked_as, kind.name, kind.at, kind.minutes, kind.goes_home_with)
        for kind in VisitKind.objects.order_by("order")
    ]
    jetted = "A machine set up for its pipe and filter, with its curve on paper."
    assert kinds == [
        ("set-up", VisitKind.SET_UP, "Set-up", "roller", 90, jetted),
        ("power-run", VisitKind.POWER_RUN, "Power run", "roller", 45, "Its curve on paper."),
        (
            "bench-check",
            VisitKind.BENCH_CHECK,
            "Bench check",
            "bench",
            60,
            "What is wrong and what it takes to put right.",
        ),
    ]
    assert [kind.order for kind in VisitKind.objects.order_by("order")] == [1, 2, 3]
    assert {kind.price for kind in VisitKind.objects.all()} == {Decimal(0)}
    assert TrailRow.objects.get(did="changed the hours of Boss").at == now


@pytest.mark.parametrize("there", [make.boss, make.shop])
def test_a_garage_with_a_person_or_a_shop_is_set_up_already(there):
    there()
    with refuses("This garage is already set up: the boss adds people under The shop, people."):
        begin(**GARAGE, now=timezone.now())


def test_in_a_new_garage_an_unpaid_deposit_lapses_unless_it_says_otherwise():
    begin(**GARAGE, now=timezone.now())
    assert Shop.objects.get().deposit_frees_after_days == 2


def test_the_founding_is_noted_in_the_name_of_the_boss():
    now, shop = timezone.now(), {"name": "Quarry", "labour_per_hour": Decimal(45)}
    boss = found(shop, {"username": "sam", "first_name": "Sam"}, password="ambleford-lane-7", now=now)
    check_noted("set up the garage", by=boss, at=now, about="the shop")
    assert boss.is_boss
    assert boss.check_password("ambleford-lane-7")
