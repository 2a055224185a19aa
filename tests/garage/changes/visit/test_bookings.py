"""A visit is booked, by its owner or at the desk: sold, planned, told."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from garage import events
from garage.changes.day import selling
from garage.changes.visit import bookings
from garage.core import states
from garage.core.errors import Refused
from garage.models.actors import OWNER
from garage.models.messages import Message
from garage.models.owners import Machine
from garage.models.trail import TrailRow
from garage.models.visits import Day, Hold, SoldPiece, Visit
from garage.reads.shop import the_shop
from tests.factories import booking, garage
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


def test_a_booking_makes_its_own_owner_and_machine_and_the_steps_of_a_roller_visit(kind, start):
    machine_kind = garage.machine_kind(make="Corrick", model="185")
    visit = booking.booked(kind, start, machine_kind_id=machine_kind.pk, year=1986)
    assert (visit.owner.name, visit.owner.email) == ("Robin Ashworth", "robin@example.org")
    assert (visit.machine.words, visit.machine.kind, visit.machine.year) == ("Corrick 185", machine_kind, 1986)
    assert (visit.state, visit.price, visit.number) == (states.BOOKED, Decimal("120"), 1)
    steps = [(step.index, step.at, step.minutes, step.what, step.is_check) for step in visit.steps.all()]
    assert steps == [(0, "bench", 20, "gate", True), (1, "roller", 90, "set-up", False)]
    assert [step.strap_minutes for step in visit.steps.all()] == [0, 5]


def test_a_bench_check_has_one_step_at_the_bench(kind, start):
    bench = garage.visit_kind(slug="bench", booked_as="bench", name="Bench check", at="bench", minutes=60)
    visit = booking.booked(bench, start)
    assert [(step.at, step.minutes, step.is_check) for step in visit.steps.all()] == [("bench", 60, False)]
    assert {piece.at for piece in visit.pieces.all()} == {"bench"}


def test_a_booking_is_confirmed_with_links_and_a_diary_file(visit, start):
    message = Message.objects.get(visit=visit)
    assert (message.what, message.to, message.sent_at) == ("visit_booked", "robin@example.org", None)
    assert "/sheet/" in message.text
    assert "/visit/" in message.text
    assert f"{start.astimezone(booking.LONDON):%H:%M}" in message.text
    assert booking.diary(message) == ("PUBLISH", str(visit.calendar_uid), 0, start)


def test_with_a_deposit_it_is_booked_with_the_deposit_awaited(start):
    kind = garage.visit_kind(minutes=90, deposit=Decimal("30"))
    assert booking.booked(kind, start).state == states.DEPOSIT_AWAITED


def test_online_the_hold_is_used_up_and_the_time_is_sold_to_the_visit(kind, start):
    booking.hold(kind, start, browser="mine")
    visit = bookings.book_online(booking.draft(kind, start), browser="mine", address_key="here", now=timezone.now())
    assert not Hold.objects.exists()
    assert set(SoldPiece.objects.values_list("visit", "hold")) == {(visit.pk, None)}


def test_the_hold_of_another_browser_is_not_used_up(kind, start):
    booking.hold(kind, start, browser="theirs")
    with pytest.raises(selling.TimeTaken):
        bookings.book_online(booking.draft(kind, start), browser="mine", address_key="here", now=timezone.now())
    assert Hold.objects.get().browser == "theirs"


def test_a_time_held_in_time_is_booked_even_if_it_has_come_too_near_meanwhile(kind, start):
    booking.hold(kind, start, browser="mine")
    garage.shop(notice_minutes=60 * 24 * 20)
    assert (
        bookings.book_online(
            booking.draft(kind, start), browser="mine", address_key="here", now=timezone.now()
        ).starts_at
        == start
    )
    with pytest.raises(Refused, match="too soon"):
        bookings.book_online(
            booking.draft(kind, start + timedelta(hours=4)), browser="mine", address_key="here", now=timezone.now()
        )


def test_what_is_booked_online_is_the_owners_doing(visit):
    row = TrailRow.objects.get(visit=visit)
    assert (row.by, row.by_words) == (None, "the owner")


def test_the_same_draft_sent_twice_is_booked_once(kind, start):
    draft = booking.draft(kind, start)
    first = bookings.book_online(draft, browser="mine", address_key="here", now=timezone.now())
    assert bookings.book_online(draft, browser="mine", address_key="here", now=timezone.now()) == first
    assert Visit.objects.count() == Message.objects.count() == 1


def test_numbers_follow_each_other(kind, start):
    numbers = [booking.booked(kind, at).number for at in (start, booking.open_day_after(start))]
    assert numbers == [1, 2]


def test_higher_rooms_hear_of_a_booking(kind, start):
    heard = []

    def listen(sender, visit, **_):
        heard.append(visit.number)

    events.visit_booked.connect(listen)
    visit = booking.booked(kind, start)
    events.visit_booked.disconnect(listen)
    assert heard == [visit.number]


def test_the_desk_books_in_its_own_name_and_without_an_email_address(kind, start):
    by = garage.front_desk(first_name="Sam")
    visit = bookings.book_at_the_desk(booking.draft(kind, start, email=""), by=by, now=timezone.now())
    assert TrailRow.objects.get(visit=visit).by_words == "Sam"
    message = Message.objects.get(visit=visit)
    assert "No email address" in message.trouble


def test_all_that_is_booked_stands_on_the_visit_and_in_the_trail(start):
    kind = garage.visit_kind(minutes=90, price=Decimal("140"), deposit=Decimal("35"))
    now, draft = timezone.now(), booking.draft(kind, start)
    visit = bookings.book_online(draft, browser="mine", address_key="here", now=now)
    words = f"booked: Set-up, {the_shop().local_time.in_words(start)}"
    check_noted(words, by=OWNER, at=now, visit=visit)
    row = Visit.objects.get()
    assert (row.kind, row.booked_at, row.wants, row.calendar_uid) == (kind, now, "Set up for the new pipe.", draft.key)
    assert (row.price, row.deposit, row.deposit_paid) == (Decimal("140"), Decimal("35"), Decimal(0))
    assert (row.state, row.starts_at, row.at, row.minutes) == (states.DEPOSIT_AWAITED, start, "roller", 90)
    assert (row.owner.telephone, row.owner.first_seen_at) == ("07700 900321", now)
    assert (row.machine.owner, row.machine.kind, row.machine.year) == (row.owner, None, None)
    assert Message.objects.get().written_at == now


def test_a_kind_that_is_not_offered_any_more_is_not_booked(kind, start):
    garage.visit_kind(slug="old", is_offered=False)
    for slug in ("old", "unknown"):
        with refuses("This kind of visit is not offered any more: choose another on the front page."):
            booking.booked(kind, start, kind_slug=slug)


def test_a_machine_that_was_here_before_is_booked_with_its_owner(kind, start):
    known = garage.machine(words="Tarnhow 250")
    visit = booking.booked(kind, start, machine_id=known.pk)
    assert (visit.machine, visit.owner, Machine.objects.count()) == (known, known.owner, 1)


def test_a_record_joined_to_another_is_not_booked(kind, start):
    joined = garage.machine(joined_into=garage.machine())
    sentence = "That machine's record has been joined to another: look it up again and book from there."
    with refuses(sentence):
        booking.booked(kind, start, machine_id=joined.pk)


def test_nothing_is_booked_for_an_erased_owner(kind, start):
    known = garage.machine(owner=garage.owner(erased_at=timezone.now()))
    with refuses("That machine's owner has been erased: book it as a new one, with name and number."):
        booking.booked(kind, start, machine_id=known.pk)


def test_a_draft_sent_twice_at_the_desk_is_booked_once(kind, start):
    draft, by = booking.draft(kind, start), garage.front_desk()
    first = bookings.book_at_the_desk(draft, by=by, now=timezone.now())
    assert bookings.book_at_the_desk(draft, by=by, now=timezone.now()) == first
    assert Visit.objects.count() == 1


@pytest.mark.parametrize(
    "book",
    [
        lambda draft: bookings.book_online(draft, browser="mine", address_key="here", now=timezone.now()),
        lambda draft: bookings.book_at_the_desk(draft, by=garage.front_desk(), now=timezone.now()),
    ],
    ids=["online", "at the desk"],
)
def test_the_day_is_waited_for_before_a_draft_sent_twice_is_looked_for(kind, start, book):
    draft = booking.draft(kind, start)
    book(draft)
    Day.objects.all().delete()
    book(draft)
    assert [row.day for row in Day.objects.all()] == [start.date()]


def test_a_hold_that_has_lapsed_or_is_for_something_else_gives_no_right_to_short_notice(kind, start):
    now = timezone.now()
    other = garage.visit_kind(slug="other", minutes=90)
    garage.shop(hold_minutes=10)
    for held, held_start, later in (
        (kind, start, timedelta(minutes=10)),
        (other, start, timedelta(0)),
        (kind, start + timedelta(hours=4), timedelta(0)),
    ):
        garage.shop(notice_minutes=0)
        booking.hold(held, held_start, browser="mine")
        Hold.objects.update(expires_at=now + timedelta(minutes=10))
        garage.shop(notice_minutes=60 * 24 * 20)
        with pytest.raises(Refused, match="too soon"):
            bookings.book_online(booking.draft(kind, start), browser="mine", address_key="here", now=now + later)


def test_whatever_else_the_browser_holds_is_let_go_when_it_books(kind, start):
    booking.hold(kind, start + timedelta(hours=4), browser="mine")
    booking.hold(kind, booking.open_day_after(start), browser="theirs")
    bookings.book_online(booking.draft(kind, start), browser="mine", address_key="here", now=timezone.now())
    assert [hold.browser for hold in Hold.objects.all()] == ["theirs"]


def test_the_desk_books_at_a_notice_that_is_too_short_online(kind, start):
    garage.shop(notice_minutes=60 * 24 * 20)
    by, now = garage.front_desk(), timezone.now()
    visit = bookings.book_at_the_desk(booking.draft(kind, start), by=by, now=now)
    words = f"booked: Set-up, {the_shop().local_time.in_words(start)}"
    check_noted(words, by=by, at=now, visit=visit)
