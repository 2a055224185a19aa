"""What becomes of a visit: booked, moved, called off, ready, collected; each with its trail, message and diary file."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from icalendar import Calendar

from garage import events
from garage.changes import selling, visits
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.messages import Message
from garage.models.trail import TrailRow
from garage.models.visits import Hold, SoldPiece, Visit
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def kind():
    garage.shop()
    garage.person()
    garage.person()
    return garage.visit_kind(minutes=90, price=Decimal("120"))


@pytest.fixture
def start(kind):
    return booking.at_local(booking.workday(ahead=5), 10)


@pytest.fixture
def visit(kind, start):
    return booking.booked(kind, start)


def _diary(message):
    calendar = Calendar.from_ical(bytes(message.enclosures.get().content))
    event = calendar.walk("VEVENT")[0]
    return str(calendar["method"]), str(event["uid"]), int(event["sequence"]), event.decoded("dtstart")


def _arrived(visit):
    visit.state, visit.arrived_at = states.HERE, timezone.now()
    visit.save()
    return visit


# --- booked ---


def test_a_booking_makes_its_own_owner_and_machine_and_the_steps_of_a_roller_visit(kind, start):
    machine_kind = garage.machine_kind(make="Corrick", model="185")
    visit = booking.booked(kind, start, machine_kind_id=machine_kind.pk, year=1986)
    assert (visit.owner.name, visit.owner.email) == ("Robin Ashworth", "robin@example.org")
    assert (visit.machine.words, visit.machine.kind, visit.machine.year) == ("Corrick 185", machine_kind, 1986)
    assert (visit.state, visit.price, visit.number) == (states.BOOKED, Decimal("120"), 1)
    steps = [(step.index, step.at, step.minutes, step.what, step.is_check) for step in visit.steps.all()]
    assert steps == [(0, "bench", 10, "gate", True), (1, "roller", 90, "set-up", False)]


def test_a_bench_check_has_one_step_at_the_bench(kind, start):
    bench = garage.visit_kind(slug="bench", booked_as="bench", name="Bench check", at="bench", minutes=60)
    visit = booking.booked(bench, start)
    assert [(step.at, step.minutes, step.is_check) for step in visit.steps.all()] == [("bench", 60, False)]
    assert {piece.at for piece in visit.pieces.all()} == {"bench"}


def test_a_booking_is_told_with_links_and_a_diary_file(visit, start):
    message = Message.objects.get(visit=visit)
    assert (message.what, message.to, message.sent_at) == ("visit_booked", "robin@example.org", None)
    assert "/sheet/" in message.text
    assert "/visit/" in message.text
    assert f"{start.astimezone(booking.LONDON):%H:%M}" in message.text
    assert _diary(message) == ("PUBLISH", str(visit.calendar_uid), 0, start)


def test_with_a_deposit_it_is_booked_with_the_deposit_awaited(start):
    kind = garage.visit_kind(minutes=90, deposit=Decimal("30"))
    assert booking.booked(kind, start).state == states.DEPOSIT_AWAITED


def test_online_the_hold_is_used_up_and_the_time_is_sold_to_the_visit(kind, start):
    booking.hold(kind, start, browser="mine")
    visit = visits.book(booking.draft(kind, start), browser="mine")
    assert not Hold.objects.exists()
    assert set(SoldPiece.objects.values_list("visit", "hold")) == {(visit.pk, None)}


def test_the_hold_of_another_browser_is_not_used_up(kind, start):
    booking.hold(kind, start, browser="theirs")
    with pytest.raises(selling.Taken):
        visits.book(booking.draft(kind, start), browser="mine")
    assert Hold.objects.get().browser == "theirs"


def test_a_time_held_in_time_is_booked_even_if_it_has_come_too_near_meanwhile(kind, start):
    booking.hold(kind, start, browser="mine")
    garage.shop(notice_minutes=60 * 24 * 20)
    assert visits.book(booking.draft(kind, start), browser="mine").starts_at == start
    with pytest.raises(Refused, match="too soon"):
        visits.book(booking.draft(kind, start + timedelta(hours=4)), browser="mine")


def test_the_same_draft_sent_twice_is_booked_once(kind, start):
    draft = booking.draft(kind, start)
    first = visits.book(draft, browser="mine")
    assert visits.book(draft, browser="mine") == first
    assert Visit.objects.count() == Message.objects.count() == 1


def test_numbers_follow_each_other(kind, start):
    numbers = [booking.booked(kind, start + timedelta(days=7 * n)).number for n in (0, 1)]
    assert numbers == [1, 2]


def test_higher_rooms_hear_of_a_booking(kind, start):
    heard = []

    def listen(sender, visit, **_):
        heard.append(visit.number)

    events.visit_booked.connect(listen)
    visit = booking.booked(kind, start)
    events.visit_booked.disconnect(listen)
    assert heard == [visit.number]


def test_the_desk_books_in_its_own_name_and_without_a_mail_address(kind, start):
    by = garage.front_desk(first_name="Sam")
    visit = visits.book_at_the_desk(booking.draft(kind, start, email=""), by=by)
    assert TrailRow.objects.get(visit=visit).by_words == "Sam"
    message = Message.objects.get(visit=visit)
    assert "No mail address" in message.trouble


# --- moved, called off ---


def test_a_move_sells_the_new_time_and_frees_the_old_one(visit, kind, start):
    by = garage.front_desk()
    later = start + timedelta(hours=4)
    moved = visits.move(visit, starts_at=later, by=by)
    assert (moved.starts_at, moved.pieces.count()) == (later, 18)
    assert booking.booked(kind, start).starts_at == start


def test_a_move_to_a_time_that_overlaps_the_old_one_is_not_in_its_own_way(visit, start):
    moved = visits.move(visit, starts_at=start + timedelta(minutes=30), by=garage.front_desk())
    assert moved.starts_at == start + timedelta(minutes=30)


def test_a_move_to_a_taken_time_leaves_everything_as_it_was(visit, kind, start):
    other = booking.booked(kind, start + timedelta(hours=4))
    before = Message.objects.count()
    with pytest.raises(selling.Taken):
        visits.move(visit, starts_at=other.starts_at, by=garage.front_desk())
    visit.refresh_from_db()
    assert (visit.starts_at, visit.pieces.count(), visit.calendar_sequence) == (start, 18, 0)
    assert Message.objects.count() == before


def test_a_move_is_told_with_the_same_uid_and_a_higher_sequence(visit, start):
    later = start + timedelta(hours=4)
    visits.move(visit, starts_at=later, by=garage.front_desk())
    message = Message.objects.get(what="visit_moved")
    assert _diary(message) == ("PUBLISH", str(visit.calendar_uid), 1, later)


def test_an_owner_moves_until_a_day_before_and_then_has_to_ring(visit, start):
    moved = visits.move(visit, starts_at=start + timedelta(hours=4))
    assert TrailRow.objects.filter(visit=visit, did__startswith="moved").get().by_words == "the owner"
    Visit.objects.filter(pk=visit.pk).update(starts_at=timezone.now() + timedelta(hours=23))
    with pytest.raises(Refused, match="less than a day away: ring 01632 960100"):
        visits.move(moved, starts_at=start)


def test_calling_off_frees_the_time_and_takes_it_out_of_the_diary(visit, kind, start):
    off = visits.call_off(visit, why="sold the machine")
    assert (off.state, off.starts_at, off.called_off_why) == (states.CALLED_OFF, None, "sold the machine")
    message = Message.objects.get(what="visit_called_off")
    assert _diary(message) == ("CANCEL", str(visit.calendar_uid), 1, start)
    assert booking.booked(kind, start)


def test_a_visit_that_is_here_is_not_called_off_by_its_owner_nor_twice_by_anybody(visit):
    by = garage.front_desk()
    visits.call_off(visit, why="", by=by)
    with pytest.raises(Refused, match="called off"):
        visits.call_off(visit, why="", by=by)


def test_an_owner_cannot_call_off_what_is_in_the_building(visit):
    with pytest.raises(Refused, match="is here: it can't be called off here"):
        visits.call_off(_arrived(visit), why="")


def test_only_a_visit_that_was_due_can_have_failed_to_come(visit):
    by = garage.front_desk()
    with pytest.raises(Refused, match="not due yet"):
        visits.did_not_come(visit, by=by)
    Visit.objects.filter(pk=visit.pk).update(starts_at=timezone.now() - timedelta(minutes=5))
    gone = visits.did_not_come(visit, by=by)
    assert (gone.state, gone.starts_at, gone.pieces.count()) == (states.DID_NOT_COME, None, 0)


def test_who_did_not_come_can_be_given_another_time(visit, start):
    by = garage.front_desk()
    Visit.objects.filter(pk=visit.pk).update(starts_at=timezone.now() - timedelta(minutes=5))
    visits.did_not_come(visit, by=by)
    again = visits.give_time(visit, at="roller", starts_at=start + timedelta(hours=4), minutes=90, by=by)
    assert (again.state, again.starts_at) == (states.BOOKED, start + timedelta(hours=4))


# --- fix first and back ---


def test_a_failed_gate_frees_the_rollers_and_plans_bench_work_and_a_new_gate(visit, kind, start):
    by = garage.person()
    gate = visit.steps.first()
    gate.began_at = gate.ended_at = timezone.now()
    gate.by, gate.station = by, 1
    gate.save()
    failed = visits.gate_failed(_arrived(visit), reasons=["It stutters at a ceiling."], bench_minutes=50, by=by)
    assert (failed.route, failed.starts_at, failed.pieces.count(), failed.gate_passed_at) == (
        "fix-first",
        None,
        0,
        None,
    )
    assert failed.route_reasons == ["It stutters at a ceiling."]
    steps = [(step.what, step.at, step.minutes, step.is_check) for step in failed.steps.all()]
    assert steps == [
        ("gate", "bench", 10, True),
        ("fix first", "bench", 50, False),
        ("gate", "bench", 10, True),
        ("set-up", "roller", 90, False),
    ]
    assert booking.booked(kind, start)


def test_a_visit_put_right_gets_a_new_roller_time(visit, start):
    by = garage.person()
    visits.gate_failed(_arrived(visit), reasons=["No spark when hot."], bench_minutes=50, by=by)
    again = visits.give_time(visit, at="roller", starts_at=start + timedelta(hours=4), minutes=90, by=by)
    assert (again.state, again.at, again.pieces.count()) == (states.HERE, "roller", 18)
    assert _diary(Message.objects.get(what="visit_time_given"))[2:] == (1, start + timedelta(hours=4))


def test_bench_time_can_be_given_to_a_visit_to_be_put_right(visit, start):
    by = garage.person()
    selling.give_back(visit)
    Visit.objects.filter(pk=visit.pk).update(state=states.TO_PUT_RIGHT, route="fix-first")
    given = visits.give_time(visit, at="bench", starts_at=start, minutes=50, by=by)
    assert (given.state, given.at, given.minutes) == (states.BOOKED, "bench", 50)
    assert {piece.at for piece in given.pieces.all()} == {"bench"}


def test_a_visit_with_a_time_is_moved_and_not_given_a_second_one(visit, start):
    with pytest.raises(Refused, match="has a time already"):
        visits.give_time(visit, at="roller", starts_at=start + timedelta(hours=4), minutes=90, by=garage.front_desk())


def test_a_gate_lets_through_only_what_is_in_the_building(visit):
    by = garage.person()
    with pytest.raises(Refused, match="take the machine in first"):
        visits.gate_passed(visit, by=by)
    assert visits.gate_passed(_arrived(visit), by=by).gate_passed_at is not None


# --- the floor ---


def test_states_follow_the_table_and_leave_a_trail(visit):
    by = garage.person()
    with pytest.raises(Refused):
        visits.become(visit, states.WAITING_FOR_PARTS, by=by)
    waiting = visits.become(_arrived(visit), states.WAITING_FOR_PARTS, by=by)
    assert waiting.state == states.WAITING_FOR_PARTS
    assert TrailRow.objects.filter(visit=visit, did="now waiting for parts", by=by).exists()


def test_ready_tells_the_owner_and_frees_what_is_still_ahead(visit):
    ready = visits.become(_arrived(visit), states.READY, by=garage.person())
    assert (ready.state, ready.pieces.count()) == (states.READY, 0)
    assert ready.starts_at is not None
    assert Message.objects.filter(visit=visit, what="ready_to_collect").count() == 1


def test_collected_comes_after_ready_only(visit):
    by = garage.person()
    with pytest.raises(Refused):
        visits.collected(_arrived(visit), by=by)
    visits.made_ready(visit, by=by)
    assert visits.collected(visit, by=by).collected_at is not None


def test_calling_off_is_no_mere_change_of_state(visit):
    with pytest.raises(Refused, match="needs a reason"):
        visits.become(visit, states.CALLED_OFF, by=garage.person())


# --- deposit ---


def test_a_visit_is_booked_for_good_once_its_deposit_is_whole(start):
    by = garage.front_desk()
    visit = booking.booked(garage.visit_kind(minutes=90, deposit=Decimal("30")), start)
    part = visits.deposit_came(visit, amount=Decimal("10"), by=by)
    assert (part.state, part.deposit_paid) == (states.DEPOSIT_AWAITED, Decimal("10"))
    whole = visits.deposit_came(visit, amount=Decimal("20"), by=by)
    assert (whole.state, whole.deposit_paid) == (states.BOOKED, Decimal("30"))
    assert Message.objects.filter(what="deposit_came").count() == 2


@pytest.mark.parametrize("amount", [Decimal(0), Decimal("-5")])
def test_a_deposit_of_nothing_or_less_is_refused(visit, amount):
    with pytest.raises(BadInput, match="above 0"):
        visits.deposit_came(visit, amount=amount, by=garage.front_desk())
