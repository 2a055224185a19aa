"""A time comes free, is kept for standby, offered, taken, or goes on sale to everybody."""

from __future__ import annotations

from datetime import timedelta

import pytest

from garage.changes.day import holds
from garage.changes.day import routes as route_changes
from garage.changes.day.selling import TimeTaken
from garage.changes.visit import bookings, offers, standby, visits
from garage.core import routes, states
from garage.core.errors import Refused
from garage.core.money import to_penny
from garage.models.actors import OWNER, SYSTEM
from garage.models.messages import Message
from garage.models.shop import VisitKind
from garage.models.standby import FreedTime, Offer
from garage.models.visits import Hold, Visit
from garage.pages.to_tell import lines_to_tell
from garage.reads import free
from garage.reads.freed import freed_minutes
from garage.reads.shop import the_shop
from garage.tasks import send_all_due
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db
H, MIN = timedelta(hours=1), timedelta(minutes=1)


@pytest.fixture
def now(start):
    """Two days before the time that will come free, by day."""
    return booking.at_local((start - 72 * H).date(), 10)


@pytest.fixture
def later(kind):
    """Booked some days after, and on standby."""

    def make(hour=14, **given):
        day = booking.workday(ahead=9)
        made = booking.booked(kind, booking.at_local(day, hour), email=f"at{hour}@example.org")
        return made if given.get("asks") is False else on_standby(made, **given)

    return make


def on_standby(visit, notice_hours=2, weekdays=range(7), asked_at=None, asks=True):
    standby.ask(visit, notice_hours=notice_hours, weekdays=weekdays, by=OWNER, now=asked_at or visit.booked_at)
    return visit


def called_off(visit, now):
    visits.call_off_by_owner(visit, why="", now=now)
    return FreedTime.objects.order_by("-pk")[0]


def offered(visit):
    return Offer.objects.get(visit=visit)


def test_an_owner_without_mail_is_told_by_hand_with_the_words_ready_and_answers_at_the_desk(kind, start, now):
    gives = booking.booked(kind, start)
    rings = booking.booked(kind, booking.at_local(booking.workday(ahead=9), 14), email="")
    on_standby(rings)
    called_off(gives, now)
    offers.offer_all_due(now=now)
    send_all_due(lambda: now)
    [line] = (told for told in lines_to_tell(the_shop(), now=now + MIN) if told.message.what == "time_offered")
    assert line.visit == rings
    assert f"ring {the_shop().telephone}" in line.words
    desk = garage.front_desk()
    moved = offers.accept(offered(rings), by=desk, now=now + 5 * MIN)
    assert moved.starts_at == start
    assert line.message.pk not in {told.message.pk for told in lines_to_tell(the_shop(), now=now + 6 * MIN)}
    assert rings.trail.filter(did="takes a time that came free", by=desk).exists()


def fresh(visit):
    return Visit.objects.get(pk=visit.pk)


def test_without_anybody_on_standby_it_is_on_sale_at_once(visit, kind, start, now):
    row = called_off(visit, now)
    assert (row.hold, row.closed_at, row.why, row.minutes, row.price) == (None, now, "called-off", 90, visit.price)
    assert booking.booked(kind, start).starts_at == start


def test_while_standby_could_use_it_nobody_sees_it_as_free(visit, kind, start, now, later):
    later()
    row = called_off(visit, now)
    assert row.closed_at is None
    assert row.hold.expires_at == now + 120 * MIN
    for asked in (free.asked_online(kind, the_shop()), free.asked_at_the_desk(kind, the_shop())):
        assert start not in free.free_on(asked, start.date(), now=now)
    with pytest.raises(TimeTaken):
        bookings.book_at_the_desk(booking.draft(kind, start), by=garage.boss(), now=now)
    assert holds.free_lapsed(now=now + 119 * MIN) == 0


def test_the_first_in_the_line_is_written_to_and_a_yes_moves_the_visit(visit, start, now, later):
    first, second = later(9), later(14)
    called_off(visit, now)
    offers.offer_all_due(now=now)
    offers.offer_all_due(now=now + MIN)
    assert list(Offer.objects.values_list("visit", flat=True)) == [first.pk]
    mail = Message.objects.filter(visit=first).first()
    assert mail.what == "time_offered"
    assert f"/offer/{offered(first).pk}/" in mail.text
    had = first.starts_at
    moved = offers.accept(offered(first), by=OWNER, now=now + 5 * MIN)
    assert (moved.starts_at, moved.pieces.count(), moved.state) == (start, 18, states.BOOKED)
    assert (offered(first).answer, offered(first).answered_at) == (Offer.YES, now + 5 * MIN)
    assert Message.objects.filter(visit=first).first().what == "visit_moved"
    row = FreedTime.objects.get(visit=visit)
    assert (row.closed_at, row.hold) == (now + 5 * MIN, None)
    assert FreedTime.objects.get(visit=first).starts_at == had  # and that one goes the same way
    assert fresh(second).starts_at == second.starts_at


def test_the_time_that_the_taker_gives_up_is_offered_in_turn(visit, now, later):
    first = later(9)
    called_off(visit, now)
    last = booking.booked(first.kind, booking.at_local(booking.workday(ahead=16), 9), email="last@example.org")
    offers.offer_all_due(now=now)
    on_standby(last)
    offers.accept(offered(first), by=OWNER, now=now + MIN)
    offers.offer_all_due(now=now + 2 * MIN)
    assert offered(last).time.starts_at == first.starts_at


def test_without_an_answer_the_next_is_asked_and_then_everybody(visit, kind, start, now, later):
    first, second = later(9), later(14)
    called_off(visit, now)
    offers.offer_all_due(now=now)
    offers.offer_all_due(now=now + 30 * MIN)
    assert offered(second).open_until == now + 60 * MIN
    with pytest.raises(Refused, match="gone to somebody else"):
        offers.accept(offered(first), by=OWNER, now=now + 31 * MIN)
    offers.offer_all_due(now=now + 60 * MIN)
    row = FreedTime.objects.get(visit=visit)
    assert (row.closed_at, row.hold) == (now + 60 * MIN, None)
    assert {offered(one).answer for one in (first, second)} == {Offer.LAPSED}
    assert booking.booked(kind, start).starts_at == start


def test_a_no_asks_the_next_at_once(visit, now, later):
    first, second = later(9), later(14)
    called_off(visit, now)
    offers.offer_all_due(now=now)
    offers.decline(offered(first), by=OWNER, now=now + MIN)
    offers.offer_all_due(now=now + MIN)
    assert offered(second).open_until == now + 31 * MIN
    with pytest.raises(Refused, match="gone to somebody else"):
        offers.accept(offered(first), by=OWNER, now=now + 2 * MIN)


def test_of_several_asked_at_once_the_first_yes_has_it(visit, start, now, later):
    garage.shop(offers_at_once=2)
    first, second = later(9), later(14)
    called_off(visit, now)
    offers.offer_all_due(now=now)
    assert offers.accept(offered(second), by=OWNER, now=now + MIN).starts_at == start
    with pytest.raises(Refused, match="gone to somebody else"):
        offers.accept(offered(first), by=OWNER, now=now + 2 * MIN)
    assert offered(first).answer == Offer.GONE
    assert fresh(first).starts_at == first.starts_at


def test_a_visit_that_was_mended_at_home_and_has_no_time_stands_by_itself(visit, start, now, later):
    waits = later(asks=False)
    route_changes.fix_first(waits, reasons=[], ready_chance=0.3, bench_minutes=50, by=SYSTEM, now=now)
    route_changes.roller_ready(waits, reasons=[], ready_chance=0.9, by=SYSTEM, now=now)
    called_off(visit, now)
    offers.offer_all_due(now=now)
    taken = offers.accept(offered(waits), by=OWNER, now=now + MIN)
    assert (taken.starts_at, taken.state) == (start, states.BOOKED)
    assert Message.objects.filter(visit=waits).first().what == "visit_time_given"


@pytest.mark.parametrize(
    "found",
    [{"must_not_run": ["It pinks."]}, {"route": routes.DO_NOT_RUN}, {"route": routes.FIX_FIRST, "choice": "asked"}],
)
def test_what_must_not_run_or_is_not_decided_is_offered_nothing(visit, now, later, found):
    waits = later()
    Visit.objects.filter(pk=waits.pk).update(**found)
    assert called_off(visit, now).hold is None
    offers.offer_all_due(now=now)
    assert not Offer.objects.exists()


def test_what_is_found_after_the_offer_stops_the_yes(visit, now, later):
    waits = later()
    called_off(visit, now)
    offers.offer_all_due(now=now)
    Visit.objects.filter(pk=waits.pk).update(must_not_run=["It pinks."])
    with pytest.raises(Refused):
        offers.accept(offered(waits), by=OWNER, now=now + MIN)
    assert fresh(waits).starts_at == waits.starts_at
    assert FreedTime.objects.get(visit=visit).hold


def test_within_the_day_a_machine_that_passed_the_gate_has_it_without_a_word(visit, start, later):
    today = start - 2 * H
    waits, asks = later(asks=False), later(9)
    Visit.objects.filter(pk=waits.pk).update(
        state=states.HERE, arrived_at=start - 30 * H, gate_passed_at=start - 3 * H, at="", starts_at=None, minutes=0
    )
    waits.pieces.all().delete()
    called_off(visit, today)
    offers.offer_all_due(now=today)
    assert (fresh(waits).starts_at, fresh(waits).at, fresh(waits).state) == (start, "roller", states.HERE)
    assert [(offer.visit, offer.answer) for offer in Offer.objects.all()] == [(waits, Offer.GIVEN)]
    assert fresh(asks).starts_at == asks.starts_at


def test_what_gives_a_time_back_is_put_down_with_its_reason(visit, kind, start, now):
    others = [booking.booked(kind, booking.at_local(booking.workday(ahead=16), hour)) for hour in (9, 14)]
    by = garage.boss()
    visits.move(visit, starts_at=booking.open_day_after(others[0].starts_at), by=by, now=now)
    visits.call_off(others[0], why="The roller is down.", by=by, now=now)
    route_changes.fix_first(others[1], reasons=[], ready_chance=0.3, bench_minutes=50, by=by, now=now)
    late = booking.booked(kind, start)
    visits.did_not_come(late, by=by, now=start + 20 * MIN)
    assert list(FreedTime.objects.order_by("pk").values_list("why", flat=True)) == [
        "moved",
        "called-off",
        "fix-first",
        "no-show",
        "no-show",
    ]
    assert not Hold.objects.exists()


def waiting_here(kind, start, minutes):
    """Through the gate, without a time: it waits for the rollers."""
    short = garage.visit_kind(slug=f"run-{minutes}", name="Power run", minutes=minutes)
    waits = booking.booked(short, booking.at_local(booking.workday(ahead=9), 9), email="here@example.org")
    waits.pieces.all().delete()
    Visit.objects.filter(pk=waits.pk).update(
        state=states.HERE, arrived_at=start - 30 * H, gate_passed_at=start - 3 * H, at="", starts_at=None, minutes=0
    )
    return waits


def no_show(visit, now):
    visits.did_not_come(visit, by=garage.boss(), now=now)
    return list(FreedTime.objects.order_by("starts_at"))


def test_of_a_time_that_has_begun_the_rest_goes_to_a_machine_in_the_building(visit, kind, start):
    waits = waiting_here(kind, start, 60)
    gone, left = no_show(visit, start + 16 * MIN)
    assert (gone.starts_at, gone.minutes, gone.hold, gone.closed_at) == (start, 25, None, start + 16 * MIN)
    assert (left.starts_at, left.minutes, left.closed_at) == (start + 25 * MIN, 65, None)
    assert gone.price + left.price == visit.price
    assert gone.price == to_penny(visit.price * 25 / 90)
    offers.offer_all_due(now=start + 16 * MIN)
    assert (fresh(waits).starts_at, fresh(waits).at, fresh(waits).minutes) == (start + 25 * MIN, "roller", 60)
    assert [offer.answer for offer in Offer.objects.all()] == [Offer.GIVEN]
    found = freed_minutes(now=start + 3 * H)
    assert (found.in_the_building.minutes, found.lost.minutes, found.sold_again.minutes) == (60, 30, 0)


def test_while_the_rest_is_kept_nobody_else_has_it_and_what_nobody_wants_is_on_sale_at_once(visit, kind, start):
    waiting_here(kind, start, 60)
    no_show(visit, start + 16 * MIN)
    short = VisitKind.objects.get(slug="run-60")
    with pytest.raises(TimeTaken):
        bookings.book_at_the_desk(booking.draft(short, start + 25 * MIN), by=garage.boss(), now=start + 17 * MIN)
    offers.offer_all_due(now=start + 31 * MIN)
    assert not Hold.objects.exists()


def test_the_rest_is_not_kept_where_no_machine_in_the_building_could_use_it(visit, kind, start, later):
    later()
    waiting_here(kind, start, 90)
    assert [row.hold for row in no_show(visit, start + 16 * MIN)] == [None, None]


def test_a_time_that_is_all_gone_is_put_down_once(visit, start):
    [gone] = no_show(visit, start + 3 * H)
    assert (gone.starts_at, gone.minutes, gone.price) == (start, 90, visit.price)


def test_where_the_shop_keeps_nothing_for_standby_it_is_on_sale_at_once(visit, now, later):
    garage.shop(standby_minutes=0)
    later()
    assert called_off(visit, now).hold is None


def test_a_sweep_without_a_shop_does_nothing(db):
    offers.offer_all_due(now=booking.timezone.now())


def test_a_freed_time_is_not_offered_once_the_roller_hours_leave_it_out(kind, start, now, later):
    gives, wants = booking.booked(kind, start), later()
    called_off(gives, now)
    garage.roller_hours(has_rollers=False)
    offers.offer_all_due(now=now)
    assert not Offer.objects.filter(visit=wants).exists()
    assert FreedTime.objects.get().closed_at == now


def test_an_offer_from_before_the_roller_hours_shrank_is_refused_with_the_reason(kind, start, now, later):
    gives, wants = booking.booked(kind, start), later()
    called_off(gives, now)
    offers.offer_all_due(now=now)
    garage.roller_hours(has_rollers=False)
    with pytest.raises(Refused, match="outside the roller hours"):
        offers.accept(offered(wants), by=OWNER, now=now + MIN)


def test_a_time_outside_the_roller_hours_that_comes_free_is_kept_for_nobody(kind, start, now, later):
    gives = booking.booked(kind, start)
    later()
    garage.roller_hours(has_rollers=False)
    assert called_off(gives, now).hold is None
