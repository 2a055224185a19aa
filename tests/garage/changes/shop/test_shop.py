from datetime import date, time
from decimal import Decimal

import pytest
from django.utils import timezone

from garage.changes.shop import shop
from garage.core.errors import BadInput
from garage.core.time.open_days import Hours
from garage.core.time.roller_hours import RollerHours
from garage.models.shop import ClosedDay, OpeningHours, Shop
from garage.models.trail import TrailRow
from tests.factories import garage as make
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


@pytest.fixture
def boss():
    make.shop()
    return make.boss()


def change(boss, **given):
    values = {"zone": "Europe/London", "holiday_country": "GB", "holiday_part": "ENG", "vat_number": ""}
    shop.change_settings(by=boss, now=timezone.now(), **(values | given))
    return Shop.objects.get()


# Check digits by the published weights 8 to 2, mod 97, by hand: 8+14+18+20+20+18+14 = 112, and 112 + 82 = 2 × 97;
# 1 × 8 = 8, and 8 + 89 = 97.
@pytest.mark.parametrize("typed", ["GB 123 4567 82", "123456782", "GB100000089", " "])
def test_a_vat_number_that_checks_is_kept_as_it_is_printed(boss, typed):
    digits = "".join(sign for sign in typed if sign.isdigit())
    assert change(boss, vat_number=typed).vat_number == (f"GB{digits}" if digits else "")


@pytest.mark.parametrize("typed", ["GB 123 4567 83", "12345", "GB", "DE123456788", "100000088"])
def test_a_vat_number_that_does_not_check_is_refused(boss, typed):
    with pytest.raises(BadInput, match="VAT number"):
        change(boss, vat_number=typed)
    assert Shop.objects.get().vat_number == ""


@pytest.mark.parametrize("zone", ["Europe/Ambleford", "London", "", "../etc/passwd"])
def test_a_zone_that_is_not_on_the_iana_list_is_refused(boss, zone):
    with pytest.raises(BadInput, match="Time zone"):
        change(boss, zone=zone)


@pytest.mark.parametrize("place", [{"holiday_country": "QQ"}, {"holiday_part": "ZZZ"}])
def test_a_country_without_known_holidays_is_refused(boss, place):
    with pytest.raises(BadInput):
        change(boss, **place)


def test_the_trail_names_the_changes_and_nothing_else(boss):
    change(boss, labour_per_hour=Decimal("48.00"), name="Quarry Lane Rolling Road")
    assert TrailRow.objects.get().detail == {"changed": {"labour_per_hour": ["45.00", "48.00"]}}
    assert TrailRow.objects.get().by == boss


def test_a_save_that_changes_nothing_leaves_no_trail(boss):
    change(boss)
    assert not TrailRow.objects.exists()


def test_opening_hours_are_replaced_as_a_whole(boss):
    shop.set_opening(
        {day: Hours(time(9), time(16)) if day == 5 else None for day in range(7)}, by=boss, now=timezone.now()
    )
    (row,) = OpeningHours.objects.all()
    assert (row.weekday, row.opens, row.closes) == (5, time(9), time(16))
    assert TrailRow.objects.get().detail["before"]["0"] == ["08:00", "17:30"]


def test_a_day_that_closes_before_it_opens_is_refused_and_the_old_hours_stay(boss):
    with pytest.raises(BadInput, match="Tuesday: closes"):
        shop.set_opening({1: Hours(time(9), time(9))}, by=boss, now=timezone.now())
    assert OpeningHours.objects.count() == 5


def test_the_hours_of_the_rollers_are_kept_and_noted(boss):
    rollers = RollerHours(time(9), time(16))
    shop.set_opening({1: Hours(time(8), time(17), rollers)}, by=boss, now=timezone.now())
    assert OpeningHours.objects.get().hours == Hours(time(8), time(17), rollers)
    without = Hours(time(8), time(17), RollerHours(has_rollers=False))
    shop.set_opening({1: without}, by=boss, now=timezone.now())
    assert OpeningHours.objects.get().hours == without
    assert TrailRow.objects.first().detail["before"] == {"1": ["08:00", "17:00", "the rollers run from 09:00 to 16:00"]}


def test_roller_hours_outside_the_opening_hours_are_refused_and_the_old_hours_stay(boss):
    with pytest.raises(BadInput, match="Tuesday: rollers until"):
        shop.set_opening({1: Hours(time(9), time(16), RollerHours(ends=time(17)))}, by=boss, now=timezone.now())
    assert OpeningHours.objects.count() == 5


def test_a_day_is_put_on_the_list_once_and_taken_off(boss):
    values = {"day": date(2026, 12, 24), "why": "stocktaking", "open_after_all": False, "by": boss}
    shop.close_day(**values, now=timezone.now())
    with pytest.raises(BadInput, match="Day"):
        shop.close_day(**values, now=timezone.now())
    shop.forget_closed_days([ClosedDay.objects.get()], by=boss, now=timezone.now())
    assert not ClosedDay.objects.exists()
    assert TrailRow.objects.count() == 2


def test_each_change_of_the_shop_is_noted(boss):
    now, kept = timezone.now(), {"by": boss, "about": "the shop"}
    values = {"zone": "Europe/London", "holiday_country": "GB", "holiday_part": "ENG", "name": "Quarry"}
    shop.change_settings(by=boss, now=now, **values)
    changed = {"name": ["Quarry Lane Rolling Road", "Quarry"]}
    check_noted("changed the settings", at=now, changed=changed, **kept)
    OpeningHours.objects.exclude(weekday=1).delete()
    shop.set_opening({1: Hours(time(9, 5), time(16))}, by=boss, now=now)
    check_noted("changed the opening hours", at=now, before={"1": ["08:00", "17:30"]}, **kept)
    day = date(2026, 12, 24)
    shop.close_day(day=day, why="stocktaking", open_after_all=False, by=boss, now=now)
    check_noted("closes on 2026-12-24: stocktaking", at=now, **kept)
    row = ClosedDay.objects.get()
    assert (row.day, row.why, row.open_after_all) == (day, "stocktaking", False)
    shop.forget_closed_days([row], by=boss, now=now)
    check_noted("took 2026-12-24 off the list of days", at=now, why="stocktaking", **kept)
    shop.close_day(day=day, why="the show", open_after_all=True, by=boss, now=now)
    check_noted("opens on 2026-12-24: the show", at=now, **kept)
    assert ClosedDay.objects.get().open_after_all


def test_each_refusal_of_the_shop_says_what_is_allowed(boss):
    now = timezone.now()
    with refuses("Tuesday: closes is '09:00'; allowed is a time after 09:00.", BadInput):
        shop.set_opening({1: Hours(time(9), time(9))}, by=boss, now=now)
    number = "a valid United Kingdom number of nine or twelve digits"
    with refuses(f"VAT number is '12345'; allowed is {number}.", BadInput):
        change(boss, vat_number="12345")
    with refuses("Time zone is 'London'; allowed is an IANA time zone, such as Europe/London.", BadInput):
        change(boss, zone="London")
    with pytest.raises(BadInput) as caught:
        change(boss, holiday_country="QQ")
    assert (caught.value.where, caught.value.found) == ("Country of the bank holidays", "QQ ENG")
    shop.close_day(day=date(2026, 12, 24), why="", open_after_all=False, by=boss, now=now)
    with refuses("Day is '2026-12-24'; allowed is a day that is not on the list yet.", BadInput):
        shop.close_day(day=date(2026, 12, 24), why="", open_after_all=True, by=boss, now=now)


def test_the_gate_at_the_bench_has_no_more_time_than_owners_come_before_the_rollers(boss):
    row = change(boss, gate_minutes=30, strap_minutes=12)
    assert (row.gate_minutes, row.strap_minutes) == (30, 12)
    allowed = "at most the 30 minutes that owners come before the rollers"
    with refuses(f"gate_minutes is 31; allowed is {allowed}.", BadInput):
        change(boss, gate_minutes=31)


@pytest.mark.parametrize("hours", [0, 337])
def test_what_counts_as_late_lies_within_two_weeks(boss, hours):
    with pytest.raises(BadInput, match="1 to 336"):
        change(boss, late_hours=hours)
    assert change(boss, late_hours=48).late_hours == 48
