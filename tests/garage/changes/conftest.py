"""A shop with two people, a set-up to book, and a visit booked."""

from decimal import Decimal

import pytest

from tests.factories import booking, garage


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
