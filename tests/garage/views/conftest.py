"""A set-up to book, a time for it, a visit booked, and the front desk logged in."""

import pytest

from tests.factories import booking, garage


@pytest.fixture
def kind():
    garage.shop()
    garage.person()
    return garage.visit_kind(minutes=90)


@pytest.fixture
def start(kind):
    return booking.at_local(booking.workday(ahead=5), 10)


@pytest.fixture
def visit(kind, start):
    return booking.booked(kind, start)


@pytest.fixture
def desk(client, kind):
    client.force_login(garage.front_desk())
    return client
