"""What is left of a time that had begun, wanted at once: four processes on one database, let go together.

The owner did not come, and two people say so. The worker offers what is left, and the desk wants to sell it. On a
SQLite file and on PostgreSQL exactly one has each minute, and each minute is given back once. So it is with the plan of
that day: of those who accept it at once, one does.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests import servers

pytestmark = pytest.mark.long

SET_UP = """
from tests.factories import garage
garage.shop()
garage.person(first_name="Jo")
garage.person(first_name="Sam")
garage.boss()
garage.visit_kind(slug="set-up", minutes=90)
garage.visit_kind(slug="run", name="Power run", minutes=60)
"""

# A machine that was booked for ten, and another that has passed the gate and waits for the rollers.
LAY_OUT = """
from datetime import timedelta
from garage.changes.visit import visits
from garage.core import states
from garage.models.people import Person
from garage.models.shop import VisitKind
from garage.models.visits import Visit
from tests.factories import booking

start = booking.at_local(booking.open_day({nth}), 10)
had = booking.booked(VisitKind.objects.get(slug="set-up"), start)
waits = booking.booked(VisitKind.objects.get(slug="run"), booking.at_local(booking.open_day({nth}), 14))
waits.pieces.all().delete()
Visit.objects.filter(pk=waits.pk).update(
    state=states.HERE, arrived_at=start - timedelta(hours=3), gate_passed_at=start - timedelta(hours=1), at="",
    starts_at=None, minutes=0,
)
{then}
print("LAID", had.number)
"""

# One of those who want it: says that it is ready, waits for the others, does its one thing and says how that went.
ONE = """
from datetime import timedelta
from garage.changes.visit import bookings, offers, visits
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.shop import VisitKind
from garage.models.visits import Visit
from tests.factories import booking

start = booking.at_local(booking.open_day({nth}), 10)
now, boss = start + timedelta(minutes={late}), Person.objects.get(role=Person.BOSS)
had, run = Visit.objects.get(number={had}), VisitKind.objects.get(slug="run")
together()
try:
    {does}
except Refused:
    print("SAID no")
else:
    print("SAID yes")
"""
HAS_NOT_COME = "visits.did_not_come(had, by=Person.objects.get(role=Person.BOSS), now=start + timedelta(minutes=16))"
DID_NOT_COME = "visits.did_not_come(had, by=boss, now=now)"
OFFERS = "offers.offer_all_due(now=now)"
ACCEPTS = """
    from garage.changes.day import plans
    from garage.core.planning.standing.standing_plan import SeenPlan
    from garage.reads.day_plan import day_plan
    from garage.reads.shop import the_shop
    seen = SeenPlan(0, day_plan(start.date(), the_shop(), now).proposed_to_keep)  # as if no plan stood yet
    plans.accept(start.date(), seen=seen, by=boss, now=now)
"""
SELLS = "bookings.book_at_the_desk(booking.draft(run, start + timedelta(minutes={at})), by=boss, now=now)"


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def resting(request: pytest.FixtureRequest) -> Iterator[servers.Garage]:
    with servers.resting_garage(*request.getfixturevalue("new_garage")(request.param)) as garage:
        garage.shell(SET_UP)
        yield garage


def _laid_out(resting: servers.Garage, nth: int, then: str = "") -> int:
    said = resting.shell(LAY_OUT.format(nth=nth, then=then))
    return int(next(line[5:] for line in said.splitlines() if line.startswith("LAID ")))


def _race(resting: servers.Garage, wants: list[str], **told: int) -> list[str]:
    """What each of them said, in their order."""
    said = resting.at_once([ONE.format(does=does, **told) for does in wants])
    return [next(line for line in words.splitlines() if line.startswith("SAID "))[5:] for words in said]


def _sold_that_day(resting: servers.Garage, nth: int) -> list[tuple[str, int]]:
    """Each visit with roller time on that day: whether it is in the building, and how many minutes."""
    day = resting.shell(f"from tests.factories import booking; print(booking.open_day({nth}))").split()[-1]
    return resting.rows(
        "select visit.state, 5 * count(*) from garage_soldpiece piece"  # noqa: S608
        " join garage_visit visit on visit.id = piece.visit_id where piece.at = 'roller'"
        f" and cast(piece.begins_at as text) like '{day}%' group by visit.number, visit.state"
    )


def _minutes_freed(resting: servers.Garage, had: int) -> list[tuple[int]]:
    return resting.rows(
        "select time.minutes from garage_freedtime time"  # noqa: S608
        f" join garage_visit had on had.id = time.visit_id where had.number = {had} order by time.starts_at"
    )


def test_it_is_given_back_once_and_the_machine_in_the_building_has_what_is_left(resting):
    had = _laid_out(resting, nth=1)
    sells = SELLS.format(at=25)
    said = _race(resting, [DID_NOT_COME, DID_NOT_COME, OFFERS, sells], nth=1, late=16, had=had)
    assert sorted(said[:2]) == ["no", "yes"]
    assert said[2:] == ["yes", "no"]
    _race(resting, [OFFERS, OFFERS], nth=1, late=16, had=had)  # two sweeps, should the first have come too soon
    assert _minutes_freed(resting, had) == [(25,), (65,)]
    assert _sold_that_day(resting, nth=1) == [("here", 60)]


def test_once_nobody_has_it_in_time_one_of_two_at_the_desk_sells_it(resting):
    had = _laid_out(resting, nth=3, then=HAS_NOT_COME)
    sells = SELLS.format(at=50)
    said = _race(resting, [OFFERS, sells, sells], nth=3, late=40, had=had)
    assert (said[0], sorted(said[1:])) == ("yes", ["no", "yes"])
    assert _sold_that_day(resting, nth=3) == [("booked", 60)]


def test_of_three_who_accept_the_days_plan_at_once_one_does(resting):
    had = _laid_out(resting, nth=5)
    said = _race(resting, [ACCEPTS.strip()] * 3, nth=5, late=0, had=had)
    assert sorted(said) == ["no", "no", "yes"]
    assert resting.rows("select number from garage_acceptedplan") == [(1,)]
