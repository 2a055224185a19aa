"""Until when a deposit is awaited, what an unpaid one does to its time, and where the money goes with the visit."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from garage import tasks
from garage.changes.day import routes
from garage.changes.visit import deposits, visits
from garage.core import states
from garage.core.deposits import BACK, DECIDE
from garage.core.errors import BadInput
from garage.core.time.clock import day_in_words
from garage.models.messages import Message
from garage.models.shop import Shop
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from garage.reads.deposits import deposits_missed, deposits_to_settle
from garage.reads.shop import the_shop
from tests.factories import booking, garage
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
WHOLE = Decimal("30")


@pytest.fixture
def awaited(kind, start):
    """Booked with 30 pounds of deposit asked for, some days ahead."""
    return booking.booked(garage.visit_kind(minutes=90, deposit=WHOLE), start)


@pytest.fixture
def now():
    return timezone.now()


def local(moment):
    return the_shop().local_time.day(moment)


def noon_on(day):
    return the_shop().local_time.at_minute(day, 12 * 60)


def test_a_booking_says_until_when_its_deposit_is_awaited(awaited, start, now):
    due_on = min(local(now) + timedelta(days=5), local(start) - timedelta(days=1))
    assert (awaited.state, awaited.deposit_due_on) == (states.DEPOSIT_AWAITED, due_on)
    assert f"Please pay it by {day_in_words(due_on)}." in Message.objects.get(what="visit_booked").text


def test_a_booking_without_a_deposit_awaits_none(visit):
    assert visit.deposit_due_on is None


def test_moved_to_an_earlier_day_it_is_awaited_until_the_day_before(awaited, start, now):
    earlier = booking.at_local(booking.workday(ahead=2), 10)
    moved = visits.move(awaited, starts_at=earlier, by=garage.front_desk(), now=now)
    assert moved.deposit_due_on == min(awaited.deposit_due_on, local(earlier) - timedelta(days=1))


def test_it_is_missed_from_the_day_after_on_until_it_comes(awaited, now):
    due_on = awaited.deposit_due_on
    assert list(deposits_missed(due_on)) == []
    assert list(deposits_missed(due_on + timedelta(days=1))) == [awaited]
    deposits.came(awaited, amount=WHOLE, by=garage.front_desk(), now=now)
    assert list(deposits_missed(due_on + timedelta(days=1))) == []


def test_whoever_promised_it_is_waited_for(awaited, start, now):
    by, day = garage.front_desk(), local(start)
    deposits.wait_until(awaited, day=day, by=by, now=now)
    assert Visit.objects.get().deposit_due_on == day
    check_noted(f"the deposit is awaited until {day_in_words(day)}", by=by, at=now, visit=awaited)


def test_nobody_waits_past_the_visit_nor_into_the_past_nor_for_nothing(awaited, start, now):
    by = garage.front_desk()
    for day in (local(now) - timedelta(days=1), local(start) + timedelta(days=1)):
        with pytest.raises(BadInput, match="a day from today to"):
            deposits.wait_until(awaited, day=day, by=by, now=now)
    deposits.came(awaited, amount=WHOLE, by=by, now=now)
    with refuses(f"Visit {awaited.number} is booked: no deposit is awaited."):
        deposits.wait_until(awaited, day=local(now), by=by, now=now)


def test_by_the_shops_rule_an_unpaid_time_is_free_again_some_days_after(awaited, start, kind):
    Shop.objects.update(deposit_frees_after_days=1)
    shop = the_shop()
    Visit.objects.update(deposit_due_on=local(start) - timedelta(days=3))
    due_on = local(start) - timedelta(days=3)
    tasks.free_all_unpaid(shop, now=noon_on(due_on + timedelta(days=1)))
    assert Visit.objects.get().state == states.DEPOSIT_AWAITED
    tasks.free_all_unpaid(shop, now=noon_on(due_on + timedelta(days=2)))
    visit = Visit.objects.get()
    assert (visit.state, visit.starts_at, visit.pieces.count()) == (states.CALLED_OFF, None, 0)
    assert visit.called_off_why == f"the deposit did not come by {day_in_words(due_on)}"
    assert Message.objects.filter(what="visit_called_off").count() == 1
    assert TrailRow.objects.last().by_words
    tasks.free_all_unpaid(shop, now=noon_on(due_on + timedelta(days=2)))
    assert Message.objects.filter(what="visit_called_off").count() == 1


@pytest.mark.parametrize(
    "given",
    [
        {"shop": {"deposit_frees_after_days": None}},
        {"deposit_paid": Decimal("10")},  # a part has come: a person decides
        {"state": states.BOOKED},
        {"state": states.HERE},
        {"deposit_due_on": None},
    ],
)
def test_otherwise_nothing_is_freed_by_itself(awaited, start, given):
    Shop.objects.update(**{"deposit_frees_after_days": 1} | given.pop("shop", {}))
    Visit.objects.update(**{"deposit_due_on": local(start) - timedelta(days=5)} | given)
    day_before = noon_on(local(start) - timedelta(days=1))
    tasks.free_all_unpaid(the_shop(), now=day_before)
    visits.call_off_unpaid(awaited, now=day_before)  # as a second worker that looked before
    assert Visit.objects.get().starts_at == start


def test_nothing_is_freed_at_night_nor_once_its_time_has_begun(awaited, start):
    Shop.objects.update(deposit_frees_after_days=1)
    Visit.objects.update(deposit_due_on=local(start) - timedelta(days=5))
    night = noon_on(local(start) - timedelta(days=1)) + timedelta(hours=9)
    tasks.free_all_unpaid(the_shop(), now=night)
    tasks.free_all_unpaid(the_shop(), now=start)
    assert Visit.objects.get().starts_at == start


def test_it_moves_with_the_visit_on_fix_first_and_counts_when_a_time_is_given_again(awaited, start, now):
    by = garage.front_desk()
    deposits.came(awaited, amount=WHOLE, by=by, now=now)
    visit = routes.fix_first(awaited, reasons=["It fails."], ready_chance=0.2, bench_minutes=40, by=by, now=now)
    assert (visit.state, visit.deposit_paid, visit.deposit_then) == (states.TO_PUT_RIGHT, WHOLE, "")
    visit = visits.give_time(visit, at="bench", starts_at=start, minutes=40, by=by, now=now)
    assert (visit.state, visit.deposit_paid) == (states.BOOKED, WHOLE)


def test_one_that_had_not_come_is_awaited_again_with_a_new_day(awaited, start, now):
    by = garage.front_desk()
    Visit.objects.update(deposit_due_on=local(now) - timedelta(days=3))
    visit = routes.do_not_run(awaited, reasons=["It has nipped up."], bench_minutes=40, by=by, now=now)
    assert list(deposits_missed(local(start))) == []  # there is no time that it would hold
    visit = visits.give_time(visit, at="bench", starts_at=start, minutes=40, by=by, now=now)
    assert visit.state == states.DEPOSIT_AWAITED
    assert visit.deposit_due_on == min(local(now) + timedelta(days=5), local(start) - timedelta(days=1))


@pytest.mark.parametrize(("owner_asked", "then"), [(False, BACK), (True, BACK)])
def test_called_off_in_time_it_goes_back_and_the_owner_reads_so(awaited, now, owner_asked, then):
    by = garage.front_desk()
    deposits.came(awaited, amount=WHOLE, by=by, now=now)
    visit = visits.call_off(awaited, why="Ill.", owner_asked=owner_asked, by=by, now=now)
    assert visit.deposit_then == then
    assert "Your deposit of £30.00 goes back to you in full." in Message.objects.get(what="visit_called_off").text
    assert list(deposits_to_settle()) == [visit]


def test_the_workshops_own_late_calling_off_gives_it_back_and_the_owners_is_decided_upon(awaited, start, now):
    by, late = garage.front_desk(), start - timedelta(hours=3)
    Shop.objects.update(cancel_words="Later than a day before we keep it.")
    deposits.came(awaited, amount=WHOLE, by=by, now=now)
    assert visits.call_off(awaited, why="Rollers broken.", by=by, now=late).deposit_then == BACK
    other = booking.booked(garage.visit_kind(minutes=90, deposit=WHOLE), start)
    deposits.came(other, amount=WHOLE, by=by, now=now)
    assert visits.call_off_by_owner(other, why="", now=late).deposit_then == DECIDE
    text = Message.objects.filter(what="visit_called_off", visit=other).get().text
    assert "Your deposit of £30.00: Later than a day before we keep it." in text


def test_of_a_machine_that_did_not_come_it_is_decided_upon_and_counts_if_it_comes_after_all(awaited, start, now):
    by = garage.front_desk()
    deposits.came(awaited, amount=WHOLE, by=by, now=now)
    visit = visits.did_not_come(awaited, by=by, now=start + timedelta(hours=2))
    assert visit.deposit_then == DECIDE
    later = booking.at_local(booking.workday(ahead=9), 10)
    visit = visits.give_time(visit, at="roller", starts_at=later, minutes=90, by=by, now=start + timedelta(hours=2))
    assert (visit.state, visit.deposit_then, visit.deposit_paid) == (states.BOOKED, "", WHOLE)


def test_given_back_it_is_settled(awaited, now):
    by = garage.front_desk()
    deposits.came(awaited, amount=WHOLE, by=by, now=now)
    visits.call_off(awaited, why="Ill.", by=by, now=now)
    deposits.went_back(awaited, amount=Decimal("10"), by=by, now=now)
    assert Visit.objects.get().deposit_then == BACK
    deposits.went_back(awaited, amount=Decimal("20"), by=by, now=now)
    assert Visit.objects.get().deposit_then == ""
    assert list(deposits_to_settle()) == []
