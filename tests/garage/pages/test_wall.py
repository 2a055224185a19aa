"""The day on the wall."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from garage.core import states
from garage.core.planning.standing.standing_plan import to_json
from garage.models.people import Person
from garage.models.plans import AcceptedPlan
from garage.models.shop import ClosedDay, Station
from garage.models.visits import Step, Visit
from garage.pages.wall import Wall, wall_of
from garage.reads.day_plan import day_plan
from garage.reads.shop import the_shop
from tests.factories import booking
from tests.factories import garage as make

pytestmark = pytest.mark.django_db


@pytest.fixture
def day() -> date:
    make.shop()
    make.person(first_name="Ada")
    return booking.workday(ahead=5)


def booked(day: date, hour: int = 10, **given: object) -> Visit:
    machine = make.machine(owner=make.owner(name="Quentin Prettyman", telephone="07700 900999"))
    visit = make.visit(starts_at=booking.at_local(day, hour), machine=machine, **given)
    Step.objects.create(visit=visit, index=0, at="bench", minutes=10, what="gate", is_check=True)
    Step.objects.create(visit=visit, index=1, at="roller", minutes=90, what="set-up")
    return visit


def here(day: date) -> Visit:
    return booked(day, state=states.HERE, arrived_at=booking.at_local(day, 8, 30))


def seen(now: datetime) -> Wall:
    return wall_of(the_shop(), now=now)


def test_each_station_says_what_runs_and_what_comes_next(day):
    visit = here(day)
    ada = Person.objects.get(first_name="Ada")
    Step.objects.filter(visit=visit, index=0).update(by=ada, station=2, began_at=booking.at_local(day, 9, 5))
    wall = seen(booking.at_local(day, 9, 10))
    gate, session = f"{visit.number} Corrick 185: gate", f"{visit.number} Corrick 185: set-up"
    assert [(row.track, row.now, row.until, row.next, row.begin) for row in wall.rows] == [
        ("Bench 1", "", "", "", ""),
        ("Bench 2", gate, "09:15", "", ""),
        ("Rollers", "", "", session, "10:00"),
    ]
    assert (wall.day, wall.as_of, wall.late) == (day, "09:10", ())
    assert wall.drawing.title == f"The day, {day:%A} {day.day} {day:%B}"


def test_a_machine_that_is_not_here_is_said_once(day):
    visit = booked(day)
    proposed = day_plan(day, the_shop(), booking.at_local(day, 8)).proposed_to_keep
    by = Person.objects.get()
    accepted_at = booking.at_local(day, 8)
    AcceptedPlan.objects.create(day=day, number=1, accepted_at=accepted_at, by=by, steps=to_json(proposed))
    assert seen(booking.at_local(day, 10, 20)).late == (
        f"{visit.number} Corrick 185 was due at 10:00 and is not here.",
    )


def test_it_shows_the_plan_that_people_work_to_and_says_what_has_not_begun(day):
    visit = here(day)
    at = booking.at_local(day, 9)
    proposed = day_plan(day, the_shop(), at).proposed_to_keep
    AcceptedPlan.objects.create(day=day, number=1, accepted_at=at, by=Person.objects.get(), steps=to_json(proposed))
    wall = seen(booking.at_local(day, 9, 30))
    begin = next(row.begin for row in wall.rows if row.next.endswith("gate"))
    assert begin < "09:25"  # as accepted, though a new proposal would begin at half past nine
    assert wall.late == (f"{visit.number} Corrick 185: gate should have begun at {begin}.",)


def lines(wall: Wall) -> list[str]:
    return [f"{line.clock} {line.text}" for line in wall.drawing.lines]


def test_it_draws_what_was_done_what_runs_and_what_is_ahead_as_people_work_to_it(day):
    visit = here(day)
    ada = Person.objects.get(first_name="Ada")
    at = booking.at_local(day, 9)
    Step.objects.filter(visit=visit, index=0).update(
        by=ada, station=2, began_at=at, ended_at=booking.at_local(day, 9, 10)
    )
    proposed = day_plan(day, the_shop(), booking.at_local(day, 9, 20)).proposed_to_keep
    AcceptedPlan.objects.create(day=day, number=1, accepted_at=at, by=ada, steps=to_json(proposed))
    later = lines(seen(booking.at_local(day, 10, 10)))
    assert f"09:00 {visit.number}: bench 2, gate, done, until 09:10." in later
    assert f"10:00 {visit.number}: rollers, set-up, planned, until 11:30." in later  # as accepted, though late
    assert f"10:00 {visit.number} is promised the rollers." in later


def test_a_promise_stands_at_the_rollers_of_the_plan(day):
    Station.objects.create(kind="roller", number=2, name="Small rollers")
    visit = here(day)
    Step.objects.filter(visit=visit, index=1).update(pin_station=2)
    drawing = seen(booking.at_local(day, 9)).drawing
    (mark,) = [label for label in drawing.labels if "promised" in label.text]
    (name,) = [label for label in drawing.labels if label.text == "Rollers 2"]
    assert abs(mark.y - name.y) < 40


def test_a_machine_that_stood_here_overnight_is_there_from_the_morning_and_one_that_went_is_collected(day):
    overnight = booked(day, state=states.HERE, arrived_at=booking.at_local(day - timedelta(days=1), 15))
    gone = booked(
        day, 9, state=states.COLLECTED, arrived_at=booking.at_local(day, 8, 30), collected_at=booking.at_local(day, 9)
    )
    said = lines(seen(booking.at_local(day, 9, 30)))
    assert any(line.startswith(f"08:00 {overnight.number} Corrick 185, set-up: in the yard") for line in said)
    assert any(line.startswith(f"09:00 {gone.number}: collected") for line in said)


def test_that_a_machine_may_well_fail_its_gate_is_not_for_whoever_passes_by(day):
    booked(day, ready_chance=0.3)
    drawing = seen(booking.at_local(day, 9)).drawing
    assert "doubt" not in {curve.kind for curve in drawing.curves}
    assert "doubt" not in " ".join(line.text for line in drawing.lines)


def test_work_that_runs_over_is_late(day):
    visit = here(day)
    ada = Person.objects.get(first_name="Ada")
    Step.objects.filter(visit=visit, index=0).update(by=ada, station=1, began_at=booking.at_local(day, 9))
    assert f"{visit.number} Corrick 185: gate should have ended at 09:10." in seen(booking.at_local(day, 9, 30)).late


def test_no_name_of_anybody_is_on_it(day):
    visit = here(day)
    wall = seen(booking.at_local(day, 9))
    said = str(wall)
    for secret in ("Quentin", "Prettyman", "07700", "Ada", visit.owner.email):
        assert secret not in said


def test_a_closed_day_says_why(day):
    ClosedDay.objects.create(day=day, why="stocktaking")
    assert seen(booking.at_local(day, 9)).closed == "stocktaking"


def test_a_high_drawing_of_many_machines_stands_beside_the_stations(day):
    wall = seen(booking.at_local(day, 9))
    assert not wall.is_tall
    assert replace(wall, drawing=replace(wall.drawing, height=700)).is_tall
