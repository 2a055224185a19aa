"""With a mail server an online booking is held until its owner, or the desk, confirms it."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal

import pytest

from garage.changes.day import holds
from garage.changes.mail import messages, notices
from garage.changes.mail.links import send_fresh
from garage.changes.visit import bookings, confirming, receiving, visits
from garage.changes.visit.deposits import came
from garage.core import states
from garage.core.errors import Refused
from garage.core.selling.draft import AskedSooner
from garage.models.messages import Message
from garage.models.standby import FreedTime
from garage.models.trail import TrailRow
from garage.models.unconfirmed import Unconfirmed
from garage.models.visits import Hold, SoldPiece, Visit
from garage.reads import free, links
from garage.reads.online_bookings import how_many_wait, why_nobody_books
from garage.reads.shop import the_shop
from garage.reads.standby import on_standby
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture
def now() -> datetime:
    """A working day at nine; the garage is open until half past five."""
    garage.shop()
    return booking.at_local(booking.workday(), 9)


@pytest.fixture
def kind(now, settings):
    settings.EMAIL_URL = "smtp://127.0.0.1:25"
    garage.person()
    garage.person()
    return garage.visit_kind()


@pytest.fixture
def start() -> datetime:
    return booking.at_local(booking.workday(ahead=6), 10)


def _booked(kind, start, now, address_key="here", **given) -> Visit:
    draft = booking.draft(kind, start, **given)
    return bookings.book_online(draft, browser="mine", address_key=address_key, now=now)


def _is_free(kind, start, now) -> bool:
    return start in free.free_on(free.asked_online(kind, the_shop()), the_shop().local_time.day(start), now=now)


def _whats(visit) -> list[str]:
    return list(Message.objects.filter(visit=visit).order_by("id").values_list("what", flat=True))


def test_a_booking_is_held_for_two_opening_hours_and_its_owner_asked(kind, start, now):
    visit = _booked(kind, start, now)
    assert (visit.state, visit.starts_at, visit.pieces.count()) == (states.HELD, start, 18)
    assert visit.unconfirmed.until == now + 2 * HOUR
    assert visit.unconfirmed.address_key == "here"
    assert not _is_free(kind, start, now)
    message = Message.objects.get()
    assert (message.what, message.to, message.due_at) == ("booking_to_confirm", "robin@example.org", now)
    assert links.token(visit, links.CONFIRM) in message.text
    assert "until " + the_shop().local_time.in_words(now + 2 * HOUR) in message.text
    for purpose in (links.SHEET, links.VISIT):
        assert links.token(visit, purpose) not in message.text + message.html
        assert not links.lives(visit, purpose, now)
    assert not message.enclosures.exists()


def test_without_a_mail_server_it_stands_at_once(kind, start, now, settings):
    settings.EMAIL_URL = ""
    visit = _booked(kind, start, now)
    assert visit.state == states.BOOKED
    assert _whats(visit) == ["visit_booked"]
    assert not Unconfirmed.objects.exists()


def test_the_desks_own_bookings_stand_at_once(kind, start, now):
    visit = bookings.book_at_the_desk(booking.draft(kind, start), by=garage.front_desk(), now=now)
    assert visit.state == states.BOOKED
    assert _whats(visit) == ["visit_booked"]


def test_the_mailed_link_confirms_it_and_then_the_owner_gets_the_rest(kind, start, now):
    visit = _booked(kind, start, now)
    visit = confirming.confirm_by_owner(visit, starts_at=None, now=now + HOUR)
    assert visit.state == states.BOOKED
    assert _whats(visit) == ["booking_to_confirm", "visit_booked"]
    assert not Unconfirmed.objects.exists()
    assert links.lives(visit, links.SHEET, now)
    row = TrailRow.objects.filter(visit=visit).first()
    assert (row.did, row.by_words) == ("confirmed by the mailed link", "the owner")
    again = confirming.confirm_by_owner(visit, starts_at=None, now=now + HOUR)
    assert _whats(again) == ["booking_to_confirm", "visit_booked"]


def test_its_deposit_is_awaited_from_when_it_stands(kind, start, now):
    kind = garage.visit_kind(deposit=Decimal(30))
    garage.shop(deposit_days=1)
    visit = _booked(kind, start, now)
    assert visit.deposit_due_on is None
    visit = confirming.confirm_by_owner(visit, starts_at=None, now=now + HOUR)
    assert (visit.state, visit.deposit_due_on) == (states.DEPOSIT_AWAITED, now.date() + timedelta(days=1))


def test_the_desk_confirms_it_with_one_press_and_the_trail_says_who(kind, start, now):
    visit, by = _booked(kind, start, now), garage.front_desk(first_name="Sam")
    visit = confirming.confirm(visit, by=by, now=now)
    confirming.confirm(visit, by=by, now=now)
    assert visit.state == states.BOOKED
    row = TrailRow.objects.get(visit=visit, did="confirmed at the desk")
    assert row.by == by
    assert _whats(visit) == ["booking_to_confirm", "visit_booked"]


def test_what_nobody_confirms_lapses_and_can_be_booked_again(kind, start, now):
    visit = _booked(kind, start, now)
    assert confirming.lapse_all_due(now=now + 2 * HOUR - timedelta(seconds=1)) == 0
    assert confirming.lapse_all_due(now=now + 2 * HOUR) == 1
    visit.refresh_from_db()
    assert (visit.state, visit.starts_at) == (states.LAPSED, None)
    assert not SoldPiece.objects.exists()
    assert visit.unconfirmed.address_key == ""
    assert _is_free(kind, start, now + 2 * HOUR)
    assert _whats(visit) == ["booking_to_confirm"]
    assert not FreedTime.objects.exists(), "nobody on standby is mailed about what a stranger gave up"
    assert confirming.lapse_all_due(now=now + 3 * HOUR) == 0


def test_what_lapsed_is_taken_again_by_the_link_if_it_is_still_free(kind, start, now):
    visit = _booked(kind, start, now)
    confirming.lapse_all_due(now=now + 2 * HOUR)
    visit = confirming.confirm_by_owner(visit, starts_at=None, now=now + 3 * HOUR)
    assert (visit.state, visit.starts_at, visit.pieces.count()) == (states.BOOKED, start, 18)
    assert "visit_booked" in _whats(visit)


def test_what_lapsed_and_was_sold_to_somebody_else_is_not_taken_but_another_time_is(kind, start, now):
    visit = _booked(kind, start, now)
    confirming.lapse_all_due(now=now + 2 * HOUR)
    other = _booked(kind, start, now + 2 * HOUR, email="ann@example.org", telephone="07700 900999")
    with pytest.raises(Refused, match="is not free any more"):
        confirming.confirm_by_owner(visit, starts_at=None, now=now + 3 * HOUR)
    visit.refresh_from_db()
    assert (visit.state, other.starts_at) == (states.LAPSED, start)
    visit = confirming.confirm_by_owner(visit, starts_at=start + 4 * HOUR, now=now + 3 * HOUR)
    assert (visit.state, visit.starts_at) == (states.BOOKED, start + 4 * HOUR)


def test_the_desk_gives_a_lapsed_visit_another_time_by_its_owners_word(kind, start, now):
    visit, by = _booked(kind, start, now), garage.front_desk()
    confirming.lapse_all_due(now=now + 2 * HOUR)
    with pytest.raises(Refused, match="was not confirmed in time"):
        confirming.confirm(visit, by=by, now=now + 3 * HOUR)
    visit = visits.give_time(visit, at="roller", starts_at=start + 4 * HOUR, minutes=90, by=by, now=now + 3 * HOUR)
    assert visit.state == states.BOOKED
    assert not Unconfirmed.objects.exists()


def test_whoever_brings_the_machine_has_confirmed_it(kind, start, now):
    visit, by = _booked(kind, start, now), garage.front_desk()
    given = {"how_it_came": "van", "key_left": True, "came_with": "", "remarks": "", "stays_overnight": False}
    receiving.take_in(visit, by=by, now=now + HOUR, **given)
    visit.refresh_from_db()
    assert visit.state == states.HERE
    assert not Unconfirmed.objects.exists()
    assert TrailRow.objects.filter(visit=visit, did="confirmed by coming", by=by).exists()
    assert _whats(visit) == ["booking_to_confirm"]
    assert confirming.lapse(visit, now=now + 5 * HOUR).state == states.HERE


def test_nothing_else_is_mailed_before_somebody_has_confirmed_it(kind, start, now):
    visit, by = _booked(kind, start, now), garage.boss()
    for change in (
        lambda: visits.move(visit, starts_at=start + 4 * HOUR, by=by, now=now),
        lambda: came(visit, amount=Decimal(30), by=by, now=now),
        lambda: notices.ready_to_collect(visit, the_shop(), now=now),
        lambda: notices.booked(visit, the_shop(), now=now),
    ):
        with pytest.raises(
            Refused, match=r"held, not confirmed yet: nothing is mailed to its owner\. Confirm it first"
        ):
            change()
    with pytest.raises(Refused, match="its links work once it is confirmed"):
        send_fresh(visit, by=by, now=now)
    visit.refresh_from_db()
    assert (visit.starts_at, visit.deposit_paid) == (start, 0)
    assert _whats(visit) == ["booking_to_confirm"]


def test_the_desk_calls_a_made_up_booking_off_without_a_mail(kind, start, now):
    visit = visits.call_off(_booked(kind, start, now), why="nobody there", by=garage.front_desk(), now=now)
    assert visit.state == states.CALLED_OFF
    assert _whats(visit) == ["booking_to_confirm"]
    assert _is_free(kind, start, now)
    assert confirming.lapse_all_due(now=now + 5 * HOUR) == 0


def test_standby_begins_once_it_stands(kind, start, now):
    visit = _booked(kind, start, now, sooner=AskedSooner(2, (0, 1, 2, 3, 4)))
    assert on_standby("roller") == []
    confirming.confirm_by_owner(visit, starts_at=None, now=now)
    assert len(on_standby("roller")) == 1


def test_two_visits_to_come_with_one_mail_or_telephone_and_no_more_online(kind, start, now):
    garage.shop(visits_per_owner=2)
    first = _booked(kind, start, now)
    _booked(kind, start + 4 * HOUR, now, email="other@example.org", telephone="+44 7700 900 321")
    with pytest.raises(Refused, match="Only 2 visits to come can be booked here with one email address or telephone"):
        _booked(kind, booking.open_day_after(start), now, email="third@example.org")
    draft = booking.draft(kind, booking.open_day_after(start))
    assert bookings.book_at_the_desk(draft, by=garage.front_desk(), now=now), "the desk books as it likes"
    visits.call_off(first, why="", by=garage.front_desk(), now=now)


def test_what_lapsed_is_not_taken_again_beyond_what_one_owner_may_have(kind, start, now):
    garage.shop(visits_per_owner=1)
    visit = _booked(kind, start, now)
    confirming.lapse_all_due(now=now + 2 * HOUR)
    _booked(kind, start + 4 * HOUR, now + 2 * HOUR)
    with pytest.raises(Refused, match="Only 1 visit to come"):
        confirming.confirm_by_owner(visit, starts_at=None, now=now + 3 * HOUR)


def test_one_address_is_asked_to_confirm_four_times_a_day_at_most(kind, start, now):
    for n in range(4):
        visit = _booked(kind, start, now + n * timedelta(minutes=1), email=f"robin+{n}@example.org")
        visits.call_off(visit, why="", by=garage.front_desk(), now=now)
    with pytest.raises(Refused, match="nobody has confirmed: ring 01632 960100 and we book it for you"):
        _booked(kind, start, now + HOUR, email="Robin@example.org", telephone="07700 900999")
    assert Visit.objects.count() == 4
    _booked(kind, start, now + 25 * HOUR, email="Robin@example.org")


def test_what_one_network_holds_is_counted_with_what_waits_to_be_confirmed(kind, start, now):
    garage.shop(holds_per_network=3)

    def hold(browser, starts_at, address_key="here"):
        holds.take(browser=browser, address_key=address_key, kind=kind, starts_at=starts_at, now=now)

    _booked(kind, start, now, email="a@example.org")
    day_after = booking.open_day_after(start)
    hold("one", start + 4 * HOUR)
    hold("one", start + 5 * HOUR)
    hold("two", day_after)
    with pytest.raises(Refused, match="Times are being held for other bookings from your connection"):
        hold("three", day_after + 4 * HOUR)
    assert not Hold.objects.filter(browser="three").exists()
    hold("four", day_after + 4 * HOUR, address_key="elsewhere")
    visit = Visit.objects.get()
    confirming.confirm_by_owner(visit, starts_at=None, now=now)
    hold("three", booking.open_day_after(start, 2))


def test_the_brake_of_the_whole_shop_stops_holds_and_bookings_and_lets_go(kind, start, now):
    garage.shop(most_unconfirmed=1)
    visit = _booked(kind, start, now)
    assert why_nobody_books(the_shop(), how_many_wait(), now=now).startswith(
        "Online bookings that wait to be confirmed: 1,"
    )
    for change in (
        lambda: holds.take(browser="b", address_key="x", kind=kind, starts_at=start + 4 * HOUR, now=now),
        lambda: _booked(kind, start + 4 * HOUR, now, email="ann@example.org", telephone="07700 900999"),
    ):
        with pytest.raises(Refused, match="More has been booked here lately than we can look through"):
            change()
    confirming.confirm(visit, by=garage.front_desk(), now=now)
    assert why_nobody_books(the_shop(), how_many_wait(), now=now) == ""
    _booked(kind, start + 4 * HOUR, now, email="ann@example.org", telephone="07700 900999")


def test_the_brake_counts_an_hour_of_bookings_also_without_a_mail_server(kind, start, now, settings):
    settings.EMAIL_URL = ""
    garage.shop(most_online_an_hour=1)
    _booked(kind, start, now)
    with pytest.raises(Refused, match="More has been booked here lately"):
        _booked(kind, start + 4 * HOUR, now + timedelta(minutes=59), email="ann@example.org")
    _booked(kind, start + 4 * HOUR, now + timedelta(minutes=61), email="ann@example.org")


def test_a_mail_that_asks_is_claimed_like_any_other(kind, start, now):
    _booked(kind, start, now)
    assert messages.claim_next(now).what == "booking_to_confirm"
