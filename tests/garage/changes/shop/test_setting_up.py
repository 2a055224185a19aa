from datetime import time
from decimal import Decimal

import pytest
from django.utils import timezone

from garage.changes.people.people import DayHours
from garage.changes.shop import setting_up, start_code
from garage.changes.shop.begin import begin, begin_with_code
from garage.core.errors import BadInput, Refused
from garage.core.selling.setting_up import Lack
from garage.core.time.open_days import Hours
from garage.models.shop import OpeningHours, Shop, Station, VisitKind
from garage.reads.setting_up import first_session, missing
from tests.factories import garage as make
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
NINE_TO_FIVE = {day: Hours(time(9), time(17)) for day in range(7)}
WORKED = {day: DayHours(time(9), time(17)) for day in range(7)}
GARAGE = {
    "name": "Quarry Lane",
    "address": "Quarry Lane\nAmbleford",
    "telephone": "01632 960100",
    "email": "garage@example.com",
}
SESSION = {
    "name": "Set-up",
    "goes_home_with": "A machine set up.",
    "booked_as": VisitKind.SET_UP,
    "minutes": 90,
    "price": Decimal(120),
    "deposit": Decimal(0),
}


@pytest.fixture
def now():
    return timezone.now()


@pytest.fixture
def boss(now):
    code = start_code.renew(now=now)
    who = {"address_key": "here", "browser": "Firefox", "username": "jo", "first_name": "Jo", "does_rollers": True}
    return begin_with_code(code, password="ambleford-lane-7", now=now, **who)


def fill(boss, now, *, hours=NINE_TO_FIVE, worked=WORKED, session=SESSION):
    setting_up.say_garage(by=boss, now=now, **GARAGE)
    setting_up.set_places(hours, rollers=1, benches=1, by=boss, now=now)
    setting_up.set_worker(boss, worked, does_bench=True, does_rollers=True, by=boss, now=now)
    setting_up.set_session(by=boss, now=now, **session)
    setting_up.say_money(labour_per_hour=Decimal(45), vat_number="", payment_words="Cash.", by=boss, now=now)


def test_page_by_page_less_is_missing_until_the_first_roller_time_can_be_sold(boss, now):
    shop = Shop.objects.get()
    assert missing(shop)[0] == Lack.NAME
    fill(boss, now)
    shop.refresh_from_db()
    assert missing(shop) == ()
    kind, at = first_session(shop, now=now)
    assert kind.name == "Set-up"
    assert at > now
    setting_up.open_garage(by=boss, now=now)
    assert Shop.objects.get().is_open
    check_noted("opened the garage", by=boss, at=now, about="the shop")


def test_opening_twice_is_opening_once(boss, now):
    fill(boss, now)
    setting_up.open_garage(by=boss, now=now)
    setting_up.open_garage(by=boss, now=now)
    check_noted("opened the garage", by=boss, at=now, about="the shop")


def test_a_garage_that_lacks_something_is_not_opened(boss, now):
    with refuses("Something is still missing: see the list."):
        setting_up.open_garage(by=boss, now=now)
    assert not Shop.objects.get().is_open


def test_nor_is_one_in_whose_day_no_session_fits(boss, now):
    fill(boss, now, hours={0: Hours(time(9), time(10))})
    assert missing(Shop.objects.get()) == ()
    with refuses("No roller time can be sold with these hours and people: see the list."):
        setting_up.open_garage(by=boss, now=now)


def test_rollers_and_benches_are_added_and_the_last_taken_away(boss, now):
    setting_up.set_places(NINE_TO_FIVE, rollers=1, benches=3, by=boss, now=now)
    setting_up.set_places(NINE_TO_FIVE, rollers=2, benches=2, by=boss, now=now)
    assert sorted(Station.objects.values_list("kind", "number", "name")) == [
        ("bench", 1, "Bench 1"),
        ("bench", 2, "Bench 2"),
        ("roller", 1, "Rollers"),
        ("roller", 2, "Rollers 2"),
    ]
    assert OpeningHours.objects.count() == 7


@pytest.mark.parametrize(
    ("rollers", "benches", "where"), [(0, 1, "Rollers"), (10, 1, "Rollers"), (1, 0, "Benches"), (1, 10, "Benches")]
)
def test_no_garage_has_none_or_ten_of_a_kind(boss, now, rollers, benches, where):
    with pytest.raises(BadInput, match=f"^{where} is .*; allowed is 1 to 9"):
        setting_up.set_places(NINE_TO_FIVE, rollers=rollers, benches=benches, by=boss, now=now)
    assert not Station.objects.exists()


def test_a_week_that_is_always_closed_is_refused(boss, now):
    with pytest.raises(BadInput, match="at least one weekday"):
        setting_up.set_places(dict.fromkeys(range(7)), rollers=1, benches=1, by=boss, now=now)


@pytest.mark.parametrize(("hours", "bench"), [(dict.fromkeys(range(7)), True), (WORKED, False)])
def test_a_boss_without_hours_or_place_is_refused(boss, now, hours, bench):
    with pytest.raises(Refused, match="at least one day and one place"):
        setting_up.set_worker(boss, hours, does_bench=bench, does_rollers=False, by=boss, now=now)


def test_a_session_without_a_price_is_refused(boss, now):
    with pytest.raises(BadInput, match="Price, pounds is 0; allowed is more than 0"):
        setting_up.set_session(by=boss, now=now, **SESSION | {"price": Decimal(0)})
    assert not VisitKind.objects.exists()


def test_said_again_the_session_is_changed_not_doubled(boss, now):
    setting_up.set_session(by=boss, now=now, **SESSION)
    setting_up.set_session(by=boss, now=now, **SESSION | {"price": Decimal(140), "name": "A set-up"})
    assert [(kind.name, kind.price, kind.is_offered) for kind in VisitKind.objects.all()] == [
        ("A set-up", Decimal(140), True)
    ]


def test_labour_for_nothing_is_refused(boss, now):
    with pytest.raises(BadInput, match="Labour, pounds an hour is 0"):
        setting_up.say_money(labour_per_hour=Decimal(0), vat_number="", payment_words="", by=boss, now=now)


def test_a_wrong_vat_number_is_refused(boss, now):
    with pytest.raises(BadInput, match="VAT number"):
        setting_up.say_money(labour_per_hour=Decimal(45), vat_number="1", payment_words="", by=boss, now=now)


def test_after_the_command_address_price_and_bench_are_what_is_left(now):
    begin(
        garage="Quarry Lane",
        email="garage@example.com",
        telephone="01632 960100",
        log_in_name="boss",
        password="ambleford-lane-7",
        now=now,
    )
    assert missing(Shop.objects.get()) == (Lack.ADDRESS, Lack.SESSION)
    boss = Shop.objects.get() and make.boss()
    setting_up.set_session(by=boss, now=now, **SESSION)
    assert VisitKind.objects.filter(at="roller", is_offered=True).count() == 1
