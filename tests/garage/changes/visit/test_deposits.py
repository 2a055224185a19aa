"""What came of a deposit and what went back."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from garage.changes.visit import deposits
from garage.core import states
from garage.core.errors import BadInput
from garage.models.messages import Message
from tests.factories import booking, garage

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
