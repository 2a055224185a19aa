"""A person accepts the day's plan, if the day is still as it was seen."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from garage.changes.day import plans
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.core.planning.standing.plan_changes import SLIP_MIN
from garage.core.planning.standing.standing_plan import SeenPlan, StandingPlan
from garage.models.people import Person
from garage.models.plans import AcceptedPlan
from garage.models.trail import TrailRow
from garage.models.visits import Step, Visit
from garage.reads.day_plan import DayPlan, day_plan
from garage.reads.shop import the_shop
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def jo() -> Person:
    garage.shop()
    return garage.person(first_name="Jo")


@pytest.fixture
def day(jo) -> date:
    return booking.workday(ahead=5)


@pytest.fixture
def visit(day) -> Visit:
    visit = garage.visit(starts_at=booking.at_local(day, 10), state=states.HERE, arrived_at=booking.at_local(day, 8))
    Step.objects.create(visit=visit, index=0, at="bench", minutes=20, what="gate", is_check=True)
    Step.objects.create(visit=visit, index=1, at="roller", minutes=90, strap_minutes=5, what="set-up")
    return visit


def _seen(day: date, hour: int = 8, minute: int = 0) -> DayPlan:
    return day_plan(day, the_shop(), booking.at_local(day, hour, minute))


def test_the_plan_that_was_seen_is_the_one_that_people_work_to(day, jo, visit):
    seen = _seen(day)
    row = plans.accept(day, seen=seen.seen, by=jo, now=booking.at_local(day, 8))
    assert (row.day, row.number, row.by, row.accepted_at) == (day, 1, jo, booking.at_local(day, 8))
    assert [(s.step, s.visit, s.person) for s in row.plan.steps] == [
        (s.pk, visit.number, jo.pk) for s in visit.steps.all()
    ]
    assert _seen(day).to_work_to == seen.proposed.placed
    assert _seen(day).changes == ()


def test_the_trail_says_who_accepted_what(day, jo, visit):
    plans.accept(day, seen=_seen(day).seen, by=jo, now=booking.at_local(day, 8))
    row = TrailRow.objects.get()
    assert (row.did, row.about, row.by, row.detail["number"]) == ("plan accepted", f"the day {day:%Y-%m-%d}", jo, 1)
    assert len(row.detail["steps"]) == 2


def test_changes_are_accepted_as_the_next_plan_of_the_day(day, jo, visit):
    plans.accept(day, seen=_seen(day).seen, by=jo, now=booking.at_local(day, 8))
    late = _seen(day, 10, 30)
    assert [change.job for change in late.changes] == [str(visit.number)]
    row = plans.accept(day, seen=late.seen, by=jo, now=booking.at_local(day, 10, 30))
    assert (row.number, _seen(day, 10, 30).changes) == (2, ())
    assert TrailRow.objects.first().did == "changes to the plan accepted"


@pytest.mark.parametrize("minutes", [0, SLIP_MIN])
def test_a_plan_that_has_only_slipped_is_accepted_as_it_is_now(day, jo, visit, minutes):
    seen, then = _seen(day, 10), booking.at_local(day, 10) + timedelta(minutes=minutes)
    row = plans.accept(day, seen=seen.seen, by=jo, now=then)
    assert row.plan.steps[0].begin == 600 + minutes


def test_a_day_that_has_moved_since_it_was_seen_is_refused(day, jo, visit):
    seen = _seen(day, 10)
    with pytest.raises(
        Refused, match=r"^The day has moved on since you looked\. Look at the day again, then decide\.$"
    ):
        plans.accept(day, seen=seen.seen, by=jo, now=booking.at_local(day, 10, SLIP_MIN + 1))
    Visit.objects.filter(pk=visit.pk).update(state=states.WAITING_FOR_OWNER, must_not_run=["It pinks."])
    with pytest.raises(Refused, match="has moved on"):
        plans.accept(day, seen=seen.seen, by=jo, now=booking.at_local(day, 10))
    assert not AcceptedPlan.objects.exists()


def test_whoever_is_second_is_told_who_was_first(day, jo, visit):
    seen, sam = _seen(day).seen, garage.front_desk(first_name="Sam")
    plans.accept(day, seen=seen, by=sam, now=booking.at_local(day, 8))
    with pytest.raises(Refused, match=r"^Sam accepted a plan for this day at 08:00, after you looked\."):
        plans.accept(day, seen=seen, by=jo, now=booking.at_local(day, 8, 1))
    assert AcceptedPlan.objects.get().by == sam


def test_a_day_that_is_over_has_no_plan_to_accept(day, jo, visit):
    with pytest.raises(Refused, match="is over: a plan can be accepted for today and days to come"):
        plans.accept(day, seen=_seen(day).seen, by=jo, now=booking.at_local(day + timedelta(days=1), 8))
    eve = booking.at_local(day - timedelta(days=1), 17)
    assert plans.accept(day, seen=day_plan(day, the_shop(), eve).seen, by=jo, now=eve).number == 1


def test_a_day_with_nothing_to_do_has_no_plan_to_work_to(day, jo):
    with pytest.raises(Refused, match="nothing to be done on this day"):
        plans.accept(day, seen=_seen(day).seen, by=jo, now=booking.at_local(day, 8))


def test_when_everything_is_called_off_that_too_is_accepted(day, jo, visit):
    plans.accept(day, seen=_seen(day).seen, by=jo, now=booking.at_local(day, 8))
    Visit.objects.filter(pk=visit.pk).update(state=states.CALLED_OFF)
    plans.accept(day, seen=_seen(day).seen, by=jo, now=booking.at_local(day, 9))
    assert (_seen(day, 9).to_work_to, _seen(day, 9).changes) == ((), ())


def test_a_plan_made_up_by_hand_is_refused(day, jo, visit):
    """The button sends what was seen, and anybody can send something else: it is compared, never kept."""
    (gate, rollers) = _seen(day).proposed_to_keep.steps
    made_up = StandingPlan((rollers, gate.__class__(gate.step, gate.visit, "bench", 2, jo.pk, 900, 920)))
    with pytest.raises(Refused, match="has moved on"):
        plans.accept(day, seen=SeenPlan(0, made_up), by=jo, now=booking.at_local(day, 8))
    unknown = StandingPlan((gate, rollers.__class__(10**6, 41, "roller", 1, jo.pk, 540, 630)))
    with pytest.raises(Refused, match="has moved on"):
        plans.accept(day, seen=SeenPlan(0, unknown), by=jo, now=booking.at_local(day, 8))


@pytest.mark.parametrize("text", ["", "x", "0 1.2", "0 1.2.roller.x.1.2.3", "0 1.2.roller.1.2.3.4.5"])
def test_what_is_no_plan_says_so(text):
    with pytest.raises(BadInput, match=r"^The plan .* allowed is one of the day sheet: open it again\.$"):
        SeenPlan.read(text)


def test_what_was_seen_comes_back_as_it_was_sent(day, visit):
    seen = _seen(day).seen
    assert SeenPlan.read(str(seen)) == seen
