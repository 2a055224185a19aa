"""What came of a deposit and what went back."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from garage import events
from garage.changes.visit import deposits
from garage.core import states
from garage.core.errors import BadInput
from garage.models.messages import Message
from garage.models.visits import Visit
from tests.factories import booking, garage
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


def test_a_visit_is_booked_for_good_once_its_deposit_is_whole(start):
    by = garage.front_desk()
    visit = booking.booked(garage.visit_kind(minutes=90, deposit=Decimal("30")), start)
    part = deposits.came(visit, amount=Decimal("10"), by=by, now=timezone.now())
    assert (part.state, part.deposit_paid) == (states.DEPOSIT_AWAITED, Decimal("10"))
    whole = deposits.came(visit, amount=Decimal("20"), by=by, now=timezone.now())
    assert (whole.state, whole.deposit_paid) == (states.BOOKED, Decimal("30"))
    assert Message.objects.filter(what="deposit_came").count() == 2


@pytest.mark.parametrize("amount", [Decimal("0.01"), Decimal("1.00")])
def test_a_penny_or_a_pound_of_the_deposit_comes_and_goes_back(visit, amount):
    by = garage.front_desk()
    assert deposits.came(visit, amount=amount, by=by, now=timezone.now()).deposit_paid == amount
    assert deposits.went_back(visit, amount=amount, by=by, now=timezone.now()).deposit_paid == 0


def test_no_more_of_a_deposit_is_given_back_than_was_paid(visit):
    by = garage.front_desk()
    deposits.came(visit, amount=Decimal("30.00"), by=by, now=timezone.now())
    for amount in (Decimal(0), Decimal("-1"), Decimal("30.01")):
        with pytest.raises(BadInput, match=r"up to £30\.00"):
            deposits.went_back(visit, amount=amount, by=by, now=timezone.now())
    assert deposits.went_back(visit, amount=Decimal("29.99"), by=by, now=timezone.now()).deposit_paid == Decimal("0.01")


@pytest.mark.parametrize("amount", [Decimal(0), Decimal("-5")])
def test_a_deposit_of_nothing_or_less_is_refused(visit, amount):
    with pytest.raises(BadInput, match="above 0"):
        deposits.came(visit, amount=amount, by=garage.front_desk(), now=timezone.now())


def test_a_deposit_is_noted_confirmed_and_told_to_the_rooms_above(start):
    by, now, heard = garage.front_desk(), timezone.now(), []
    visit = booking.booked(garage.visit_kind(minutes=90, deposit=Decimal("30")), start)

    def listen(sender, visit, **_):
        heard.append((sender, visit.number, visit.deposit_paid))

    events.deposit_recorded.connect(listen)
    deposits.came(visit, amount=Decimal("10"), by=by, now=now)
    events.deposit_recorded.disconnect(listen)
    check_noted("deposit of £10.00 paid", by=by, at=now, visit=visit)
    assert heard == [(Visit, visit.number, Decimal("10"))]
    row = Visit.objects.get()
    assert (row.deposit_paid, row.state) == (Decimal("10"), states.DEPOSIT_AWAITED)
    message = Message.objects.get(what="deposit_came")
    assert (message.to, message.written_at) == ("robin@example.org", now)
    assert "your deposit of £10.00" in message.text
    assert "we have £10.00 of £30.00" in message.text


def test_a_deposit_given_back_is_noted_and_the_state_stays(visit):
    by, now = garage.front_desk(), timezone.now()
    Visit.objects.update(deposit_paid=Decimal("30"), state=states.CALLED_OFF)
    deposits.went_back(visit, amount=Decimal("12.50"), by=by, now=now)
    check_noted("deposit of £12.50 given back", by=by, at=now, visit=visit)
    row = Visit.objects.get()
    assert (row.deposit_paid, row.state) == (Decimal("17.50"), states.CALLED_OFF)


def test_a_whole_deposit_leaves_a_visit_that_is_further_on_where_it_is(visit):
    booking.arrived(visit)
    assert deposits.came(visit, amount=Decimal("30"), by=garage.front_desk(), now=timezone.now()).state == states.HERE


@pytest.mark.parametrize("state", sorted(states.OVER))
def test_a_visit_that_is_over_takes_no_deposit(visit, state):
    Visit.objects.update(state=state)
    with refuses(f"Visit {visit.number} is {states.WORDS[state]}: it can't take a deposit any more."):
        deposits.came(visit, amount=Decimal("30"), by=garage.front_desk(), now=timezone.now())


def test_a_wrong_amount_is_refused_with_what_is_allowed(visit):
    by, now = garage.front_desk(), timezone.now()
    with refuses("deposit is '£0.00'; allowed is an amount above 0.", BadInput):
        deposits.came(visit, amount=Decimal(0), by=by, now=now)
    with refuses("deposit is '£5.00'; allowed is up to £0.00, the deposit paid.", BadInput):
        deposits.went_back(visit, amount=Decimal(5), by=by, now=now)
