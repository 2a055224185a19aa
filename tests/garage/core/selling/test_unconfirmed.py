"""How long a booking waits for its owner's word, and how much one stranger can book."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from garage.core.selling.unconfirmed import held_until, mail_without_tag, visits_of_one, why_braked

MONDAY = datetime(2026, 3, 2, tzinfo=UTC)
FAR = MONDAY + timedelta(days=30)
OPENING = [(MONDAY + timedelta(days=n, hours=8), MONDAY + timedelta(days=n, hours=17)) for n in (0, 1, 4)]


def at(day: int, hour: float) -> datetime:
    return MONDAY + timedelta(days=day, hours=hour)


@pytest.mark.parametrize(
    ("now", "hours", "until"),
    [
        (at(0, 9), 2, at(0, 11)),
        (at(0, 6), 2, at(0, 10)),
        (at(0, 15), 2, at(0, 17)),
        (at(0, 16), 2, at(1, 9)),
        (at(0, 17), 2, at(1, 10)),
        (at(0, 23), 2, at(1, 10)),
        (at(1, 16.5), 2, at(4, 9.5)),
        (at(0, 9), 20, at(4, 11)),
    ],
)
def test_a_time_is_held_for_hours_in_which_somebody_could_have_rung(now, hours, until):
    assert held_until(now, hours, OPENING, FAR) == until


def test_a_time_is_never_held_past_its_beginning():
    assert held_until(at(0, 9), 2, OPENING, at(0, 10)) == at(0, 10)
    assert held_until(at(0, 16), 2, OPENING, at(1, 8)) == at(1, 8)
    assert held_until(at(4, 16), 2, OPENING, FAR) == FAR


def test_a_mailbox_is_one_whatever_its_tag():
    assert mail_without_tag(" robin+a+b@example.org") == "robin@example.org"
    assert mail_without_tag("robin@example.org") == "robin@example.org"


@pytest.mark.parametrize(
    ("contact", "count"),
    [
        (("robin@example.org", ""), 2),
        (("ROBIN+new@example.org", "01632 960999"), 2),
        (("ann@example.org", "+44 7700 900321"), 2),
        (("ann@example.org", "07700 900999"), 0),
        (("", ""), 0),
        (("robin@example.net", "07700"), 0),
    ],
)
def test_visits_are_of_one_owner_by_mail_or_telephone_however_it_is_written(contact, count):
    to_come = [("robin@example.org", "07700 900321"), ("Robin+2@Example.org", "07700900321"), ("", "12345")]
    assert visits_of_one(*contact, to_come) == count


@pytest.mark.parametrize(
    ("waiting", "in_an_hour", "why"),
    [
        (9, 19, ""),
        (10, 0, "Online bookings that wait to be confirmed: 10,"),
        (0, 20, "Times booked online within the last hour: 20,"),
    ],
)
def test_the_brake_says_what_pulled_it(waiting, in_an_hour, why):
    said = why_braked(waiting, in_an_hour, most_waiting=10, most_in_an_hour=20)
    assert said.startswith(why)
    assert bool(said) == bool(why)
