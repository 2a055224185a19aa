"""A time held open: for some minutes, renewed, never past the limit, one to a browser, so many to an address."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import IntegrityError
from django.utils import timezone

from garage.changes.day import holds, selling
from garage.core.errors import Refused
from garage.models.visits import Day, Hold, HoldBegun, SoldPiece
from tests.factories import booking, garage
from tests.sentences import refuses

pytestmark = pytest.mark.django_db


@pytest.fixture
def kind():
    garage.shop(hold_minutes=10, hold_minutes_in_all=40, holds_per_address_and_hour=3)
    garage.person()
    return garage.visit_kind(minutes=45)


@pytest.fixture
def start(kind):
    return booking.at_local(booking.workday(), 10)


def _keep(kind, start, browser="browser-1", address_key="here"):
    return holds.keep(browser=browser, address_key=address_key, kind=kind, starts_at=start, now=timezone.now())


def _began_before(hold, minutes, left=5):
    """As if the hold had begun that long ago and still had some minutes to run."""
    now = timezone.now()
    Hold.objects.filter(pk=hold.pk).update(
        began_at=now - timedelta(minutes=minutes), expires_at=now + timedelta(minutes=left)
    )


def test_a_held_time_is_nobody_elses_for_ten_minutes(kind, start):
    hold = booking.hold(kind, start)
    assert hold.expires_at - hold.began_at == timedelta(minutes=10)
    assert hold.pieces.count() == 9
    with pytest.raises(selling.TimeTaken):
        booking.hold(kind, start, browser="browser-2")


def test_a_saved_page_renews_it(kind, start):
    hold = booking.hold(kind, start)
    _began_before(hold, minutes=8, left=2)
    assert _keep(kind, start).expires_at > timezone.now() + timedelta(minutes=9)
    assert Hold.objects.get().pk == hold.pk


def test_it_is_never_renewed_past_forty_minutes_in_all(kind, start):
    hold = booking.hold(kind, start)
    _began_before(hold, minutes=36)
    hold.refresh_from_db()
    assert _keep(kind, start).expires_at == hold.began_at + timedelta(minutes=40)


def test_a_lapsed_hold_is_taken_again_when_the_time_is_still_free(kind, start):
    hold = booking.hold(kind, start)
    _began_before(hold, minutes=12, left=-2)
    again = _keep(kind, start)
    assert again.pk != hold.pk
    assert Hold.objects.get().pk == again.pk
    assert SoldPiece.objects.count() == 9


def test_a_lapsed_hold_is_not_taken_again_once_somebody_else_has_the_time(kind, start):
    hold = booking.hold(kind, start)
    _began_before(hold, minutes=12, left=-2)
    booking.hold(kind, start, browser="browser-2")
    with pytest.raises(selling.TimeTaken) as caught:
        _keep(kind, start)
    assert caught.value.starts_at == start


def test_a_browser_holds_one_time_only_and_choosing_another_frees_the_first(kind, start):
    booking.hold(kind, start)
    later = start + timedelta(hours=3, minutes=30)
    booking.hold(kind, later)
    assert Hold.objects.get().starts_at == later
    assert booking.hold(kind, start, browser="browser-2").starts_at == start


def test_when_the_other_time_cannot_be_had_the_first_stays_held(kind, start):
    booking.hold(kind, start)
    booking.hold(kind, start + timedelta(hours=3, minutes=30), browser="browser-2")
    with pytest.raises(selling.TimeTaken):
        booking.hold(kind, start + timedelta(hours=3, minutes=30))
    assert Hold.objects.get(browser="browser-1").starts_at == start


def test_an_address_may_begin_only_so_many_holds_an_hour(kind, start):
    for _ in range(3):
        booking.hold(kind, start, browser="browser-1")
    with pytest.raises(Refused, match="from your connection"):
        booking.hold(kind, start, browser="browser-1")
    assert booking.hold(kind, start + timedelta(hours=4), browser="browser-9", address_key="elsewhere")


def test_an_hour_later_the_address_may_hold_again(kind, start):
    for _ in range(3):
        booking.hold(kind, start)
    HoldBegun.objects.update(at=timezone.now() - timedelta(minutes=61))
    assert booking.hold(kind, start)


def test_the_sweep_frees_what_has_lapsed_and_leaves_what_has_not(kind, start):
    lapsed = booking.hold(kind, start)
    open_one = booking.hold(kind, start + timedelta(hours=3, minutes=30), browser="browser-2")
    _began_before(lapsed, minutes=12, left=-2)
    assert holds.free_lapsed(now=timezone.now()) == 1
    assert set(SoldPiece.objects.values_list("hold", flat=True)) == {open_one.pk}


def test_a_hold_at_too_short_notice_is_refused_online(kind):
    garage.shop(notice_minutes=60 * 24 * 20)
    with pytest.raises(Refused, match="too soon"):
        booking.hold(kind, booking.at_local(booking.workday(), 10))


def _asked_at(kind, start, now, browser="browser-1", change=holds.take):
    return change(browser=browser, address_key="here", kind=kind, starts_at=start, now=now)


def test_a_hold_is_kept_with_all_that_it_is_for(kind, start):
    now = timezone.now()
    _asked_at(kind, start, now)
    row = Hold.objects.get()
    assert (row.browser, row.address_key, row.kind, row.starts_at, row.minutes) == (
        "browser-1",
        "here",
        kind,
        start,
        45,
    )
    assert (row.began_at, row.expires_at) == (now, now + timedelta(minutes=10))
    begun = HoldBegun.objects.get()
    assert (begun.address_key, begun.at) == ("here", now)


def test_a_saved_page_renews_the_row_for_ten_minutes_from_then(kind, start):
    now = timezone.now()
    _asked_at(kind, start, now)
    later = now + timedelta(minutes=9)
    kept = _asked_at(kind, start, later, change=holds.keep)
    assert kept.expires_at == Hold.objects.get().expires_at == later + timedelta(minutes=10)


def test_a_hold_lapses_on_the_minute_and_is_then_begun_anew(kind, start):
    now = timezone.now()
    _asked_at(kind, start, now)
    end = now + timedelta(minutes=10)
    _asked_at(kind, start, end, change=holds.keep)
    row = Hold.objects.get()
    assert (row.browser, row.address_key, row.began_at) == ("browser-1", "here", end)


def test_a_page_saved_without_a_hold_takes_the_time(kind, start):
    now = timezone.now()
    _asked_at(kind, start, now, change=holds.keep)
    row = Hold.objects.get()
    assert (row.browser, row.address_key, row.kind, row.starts_at, row.began_at) == (
        "browser-1",
        "here",
        kind,
        start,
        now,
    )


def test_a_hold_for_another_time_kind_or_browser_is_not_renewed(kind, start):
    garage.shop(holds_per_address_and_hour=9)
    now = timezone.now()
    _asked_at(kind, start + timedelta(hours=3, minutes=30), now)
    assert _asked_at(kind, start, now, change=holds.keep).starts_at == start
    long = garage.visit_kind(slug="long", minutes=90)
    assert _asked_at(long, start, now, change=holds.keep).minutes == 90
    with pytest.raises(selling.TimeTaken):
        _asked_at(long, start, now, browser="browser-2", change=holds.keep)


def test_a_change_to_another_day_waits_for_both_days(kind, start):
    _asked_at(kind, start, timezone.now())
    Day.objects.all().delete()
    later = booking.at_local(booking.open_day(2), 10)
    _asked_at(kind, later, timezone.now())
    assert set(Day.objects.values_list("day", flat=True)) == {start.date(), later.date()}


def test_the_cap_names_the_telephone_and_counts_the_last_hour_only(kind, start):
    now = timezone.now()
    for minutes in (59, 30, 0):
        HoldBegun.objects.create(address_key="here", at=now - timedelta(minutes=minutes))
    HoldBegun.objects.create(address_key="here", at=now - timedelta(minutes=60))
    with refuses(
        "Too many times have been held open from your connection in the last hour: "
        "try again later, or ring 01632 960100."
    ):
        _asked_at(kind, start, now)
    HoldBegun.objects.filter(at=now).delete()
    assert _asked_at(kind, start, now).pk


def test_the_sweep_goes_by_its_own_time(kind, start):
    now = timezone.now()
    _asked_at(kind, start, now)
    _asked_at(kind, start + timedelta(hours=3, minutes=30), now, browser="browser-2")
    HoldBegun.objects.filter(pk=HoldBegun.objects.first().pk).update(at=now - timedelta(minutes=50))
    assert holds.free_lapsed(now=now + timedelta(minutes=9, seconds=59)) == 0
    assert HoldBegun.objects.count() == 2
    assert holds.free_lapsed(now=now + timedelta(minutes=10)) == 2
    assert not Hold.objects.exists()
    assert HoldBegun.objects.count() == 1
    holds.free_lapsed(now=now + timedelta(minutes=60))
    assert not HoldBegun.objects.exists()


def test_two_pages_of_one_browser_that_ask_at_once_get_one_hold(kind, start):
    """As the second of them meets it: the first has written its row meanwhile."""
    held = booking.hold(kind, start)
    again = Hold.objects.get(pk=held.pk)
    again.pk = None
    with refuses("Another of your pages is holding a time open right now: go on there, or try again."):
        holds._write(again)


def test_another_fault_of_the_database_is_not_taken_for_a_second_page(kind, start):
    held = booking.hold(kind, start)
    held.pk, held.browser, held.starts_at = None, "browser-2", None
    with pytest.raises(IntegrityError):
        holds._write(held)
