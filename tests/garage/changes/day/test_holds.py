"""A time held open: for some minutes, renewed, never past the limit, one to a browser, so many to an address."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.day import holds, selling
from garage.core.errors import Refused
from garage.models.visits import Hold, HoldBegun, SoldPiece
from tests.factories import booking, garage

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
    later = start + timedelta(hours=3)
    booking.hold(kind, later)
    assert Hold.objects.get().starts_at == later
    assert booking.hold(kind, start, browser="browser-2").starts_at == start


def test_when_the_other_time_cannot_be_had_the_first_stays_held(kind, start):
    booking.hold(kind, start)
    booking.hold(kind, start + timedelta(hours=3), browser="browser-2")
    with pytest.raises(selling.TimeTaken):
        booking.hold(kind, start + timedelta(hours=3))
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
    open_one = booking.hold(kind, start + timedelta(hours=3), browser="browser-2")
    _began_before(lapsed, minutes=12, left=-2)
    assert holds.free_lapsed(now=timezone.now()) == 1
    assert set(SoldPiece.objects.values_list("hold", flat=True)) == {open_one.pk}


def test_a_hold_at_too_short_notice_is_refused_online(kind):
    garage.shop(notice_minutes=60 * 24 * 20)
    with pytest.raises(Refused, match="too soon"):
        booking.hold(kind, booking.at_local(booking.workday(), 10))
