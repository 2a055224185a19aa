"""An online booking is confirmed, lapses and is counted at once: processes on one database, let go together.

On a SQLite file and on PostgreSQL it stands once or lapses once, is mailed once, and no limit is passed.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests import servers

pytestmark = pytest.mark.long

SET_UP = """
from tests.factories import garage
garage.shop(holds_per_network=3, visits_per_owner=2)
garage.person(first_name="Jo")
garage.person(first_name="Sam")
garage.boss()
garage.visit_kind(slug="set-up", minutes=90)
"""

LAY_OUT = """
from django.conf import settings
settings.EMAIL_URL = "smtp://127.0.0.1:25"
from garage.changes.visit import bookings
from garage.models.shop import VisitKind
from tests.factories import booking

start, now = booking.at_local(booking.open_day({nth}), 10), booking.at_local(booking.workday(), 9)
who = {{"email": "owner{nth}@example.org", "telephone": ""}}
draft = booking.draft(VisitKind.objects.get(slug="set-up"), start, **who)
print("LAID", bookings.book_online(draft, browser="mine", address_key="laid", now=now).number)
"""

ONE = """
from datetime import timedelta
from django.conf import settings
settings.EMAIL_URL = "smtp://127.0.0.1:25"
from garage.changes.day import holds
from garage.changes.visit import bookings, confirming
from garage.core import states
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.shop import VisitKind
from garage.models.visits import Visit
from tests.factories import booking

kind, boss = VisitKind.objects.get(slug="set-up"), Person.objects.get(role=Person.BOSS)
now, visit = booking.at_local(booking.workday(), 11), Visit.objects.filter(number={number}).first()
together()
try:
    {does}
except Refused:
    print("SAID no")
else:
    print("SAID yes")
"""
PRESSES = "confirming.confirm_by_owner(visit, starts_at=None, now=now)"
CONFIRMS = "confirming.confirm(visit, by=boss, now=now)"
LAPSES = "if confirming.lapse(visit, now=now).state != states.LAPSED: raise Refused('too late')"
BOOKS = (
    "bookings.book_online(booking.draft(kind, booking.at_local(booking.open_day({nth}), 10), email='one@example.org'),"
    " browser='b{nth}', address_key='net{nth}', now=now)"
)
HOLDS = (
    "holds.take(browser='h{nth}', address_key='one', kind=kind,"
    " starts_at=booking.at_local(booking.open_day({nth}), 14), now=now)"
)


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def resting(request: pytest.FixtureRequest) -> Iterator[servers.Garage]:
    with servers.resting_garage(*request.getfixturevalue("new_garage")(request.param)) as garage:
        garage.shell(SET_UP)
        yield garage


def _laid_out(resting: servers.Garage, nth: int) -> int:
    said = resting.shell(LAY_OUT.format(nth=nth))
    return int(next(line[5:] for line in said.splitlines() if line.startswith("LAID ")))


def _race(resting: servers.Garage, wants: list[str], number: int = 0) -> list[str]:
    """What each of them said, in their order."""
    said = resting.at_once([ONE.format(does=does, number=number) for does in wants])
    return [next(line for line in words.splitlines() if line.startswith("SAID "))[5:] for words in said]


def _became(resting: servers.Garage, number: int) -> tuple[str, int, int, int]:
    """Its state, how many pieces of time it has, how often it was told that it stands, and whether it still waits."""
    counts = (
        "(select count(*) from garage_soldpiece p where p.visit_id = v.id)",
        "(select count(*) from garage_message m where m.visit_id = v.id and m.what = 'visit_booked')",
        "(select count(*) from garage_unconfirmed u where u.visit_id = v.id)",
    )
    [row] = resting.rows(f"select v.state, {', '.join(counts)} from garage_visit v where v.number = {number}")  # noqa: S608
    return row


def test_two_presses_the_desk_and_the_sweep_at_once_make_one_visit_that_stands(resting):
    number = _laid_out(resting, nth=9)
    said = _race(resting, [PRESSES, PRESSES, CONFIRMS, LAPSES], number)
    assert said[:2] == ["yes", "yes"]
    assert _became(resting, number) == ("booked", 18, 1, 0)


def test_the_desk_and_the_sweep_at_once_make_one_visit_that_stands_or_lapsed(resting):
    number = _laid_out(resting, nth=10)
    said = _race(resting, [CONFIRMS, LAPSES, LAPSES], number)
    if said[0] == "yes":
        assert said[1:] == ["no", "no"]
        assert _became(resting, number) == ("booked", 18, 1, 0)
    else:
        assert _became(resting, number) == ("lapsed", 0, 0, 1)


def test_however_many_come_at_once_one_owner_has_two_and_one_network_three(resting):
    said = _race(resting, [BOOKS.format(nth=nth) for nth in (2, 3, 4, 5)])
    assert sorted(said) == ["no", "no", "yes", "yes"]
    said = _race(resting, [HOLDS.format(nth=nth) for nth in (2, 3, 4, 5, 6)])
    assert sorted(said) == ["no", "no", "yes", "yes", "yes"]
