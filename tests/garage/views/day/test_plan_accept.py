"""The day's plan is accepted with a tap, and whatever is tapped elsewhere says what it moves."""

from __future__ import annotations

import re
from datetime import date

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.changes.day import plans
from garage.core import states
from garage.models.people import Person
from garage.models.plans import AcceptedPlan
from garage.models.visits import Step, Visit
from garage.reads.day_plan import day_plan
from garage.reads.shop import the_shop
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(monkeypatch) -> date:
    """Eight o'clock on a working day: no test depends on the hour at which it runs."""
    garage.shop()
    garage.person(first_name="Ada")
    day = booking.workday(ahead=5)
    now = booking.at_local(day, 8)
    monkeypatch.setattr(timezone, "now", lambda: now)
    return day


@pytest.fixture
def ada(client, day) -> Person:
    ada = Person.objects.get()
    client.force_login(ada)
    return ada


def _booked(day: date, **given: object) -> Visit:
    visit = garage.visit(**{"starts_at": booking.at_local(day, 10)} | given)
    Step.objects.create(visit=visit, index=0, at="bench", minutes=20, what="gate", is_check=True)
    Step.objects.create(visit=visit, index=1, at="roller", minutes=60, what="set-up")
    return visit


def _waiting(day: date) -> Visit:
    """A machine in the building without a time."""
    arrived = booking.at_local(day, 7, 30)
    return _booked(day, state=states.HERE, arrived_at=arrived, starts_at=None, at="", minutes=0)


def _seen(page: str) -> str:
    (seen,) = re.findall(r'name="plan" value="([^"]+)"', page)
    return seen


def _sheet(client, day: date) -> str:
    return client.get(reverse("day-sheet-on", args=[f"{day}"])).text


def _press(client, day: date, seen: str, **more: object):
    return client.post(reverse("plan-accept", args=[f"{day}"]), {"plan": seen, "day": f"{day}"}, **more)


def test_a_proposal_is_accepted_with_one_tap_and_the_sheet_says_so(client, ada, day):
    _waiting(day)
    proposal = _sheet(client, day)
    assert "Nobody has said yet that this is what people work to." in proposal
    answer = _press(client, day, _seen(proposal))
    assert answer["Location"] == f"{reverse('day-sheet-on', args=[f'{day}'])}#plan"
    page = _sheet(client, day)
    assert "People work to the plan of 08:00, accepted by Ada. Nothing has moved since." in page
    assert "plan-accept" not in page


def test_htmx_gets_the_list_with_what_is_worked_to_in_it(client, ada, day):
    _waiting(day)
    answer = _press(client, day, _seen(_sheet(client, day)), headers={"HX-Request": "true"})
    assert (answer.status_code, "<h1" in answer.text) == (200, False)
    assert "People work to the plan of 08:00" in answer.text


def test_a_day_that_has_moved_is_refused_in_one_sentence_and_shown_anew(client, ada, day):
    visit = _waiting(day)
    seen = _seen(_sheet(client, day))
    Visit.objects.filter(pk=visit.pk).update(state=states.WAITING_FOR_PARTS)
    _waiting(day)
    answer = _press(client, day, seen, headers={"HX-Request": "true"})
    assert answer.status_code == 409
    assert "The day has moved on since you looked. Look at the day again, then decide." in answer.text
    assert _seen(answer.text) != seen
    assert not AcceptedPlan.objects.exists()


@pytest.mark.parametrize("sent", ["", "x", "0 1.2.3", "0 1.2.roller.1.2.3.99999999999999999999"])
def test_what_is_no_plan_is_refused_in_one_sentence(client, ada, day, sent):
    _waiting(day)
    answer = _press(client, day, sent, follow=True)
    assert answer.status_code == 200
    assert "said error" in answer.text
    assert not AcceptedPlan.objects.exists()


@pytest.mark.parametrize("day_text", ["soon", "2026-02-30"])
def test_a_day_that_is_none_is_not_found(client, ada, day_text):
    assert client.post(reverse("plan-accept", args=[day_text])).status_code == 404


def _accept(day: date) -> None:
    plan = day_plan(day, the_shop(), timezone.now())
    plans.accept(day, seen=plan.seen, by=Person.objects.first(), now=timezone.now())


def _did_not_come(client, day: date) -> str:
    """One that was to come at ten does not, with another waiting in the building."""
    late = _booked(day, starts_at=booking.at_local(day, 7, 30))
    _waiting(day)
    _accept(day)
    return client.post(reverse("visit-did-not-come", args=[late.number]), follow=True).text


def test_a_machine_that_did_not_come_says_at_once_what_that_moves(client, ada, day):
    page = _did_not_come(client, day)
    assert "did not come; its time is free again." in page
    assert "The day has moved. " in page
    assert ": it did not come." in page
    assert f'<a href="{reverse("day-sheet")}#plan">Look at it on the day sheet</a>' in page


def test_a_tap_that_moves_nothing_says_nothing(client, ada, day):
    visit = _waiting(day)
    _accept(day)
    gate = visit.steps.get(index=0)
    page = client.post(reverse("step-begin", args=[gate.pk]), {"station": "1", "visit": visit.number}, follow=True)
    assert "The day has moved." not in page.text


def test_what_had_moved_before_the_tap_is_not_said_again(client, ada, day):
    first, second = _waiting(day), _waiting(day)
    _accept(day)
    Visit.objects.filter(pk=second.pk).update(must_not_run=["It pinks."])
    gate = first.steps.get(index=0)
    page = client.post(reverse("step-begin", args=[gate.pk]), {"station": "1", "visit": first.number}, follow=True)
    assert "The day has moved." not in page.text


def test_a_tap_that_is_refused_moves_nothing(client, ada, day):
    visit = _waiting(day)
    _accept(day)
    Visit.objects.filter(pk=visit.pk).update(state=states.READY)
    rollers = visit.steps.get(index=1)
    page = client.post(reverse("step-begin", args=[rollers.pk]), {"station": "1", "visit": visit.number}, follow=True)
    assert "has not passed the gate" in page.text
    assert "The day has moved." not in page.text


def test_without_an_accepted_plan_a_tap_says_nothing_of_it(client, ada, day):
    late = _booked(day, starts_at=booking.at_local(day, 7, 30))
    page = client.post(reverse("visit-did-not-come", args=[late.number]), follow=True).text
    assert "The day has moved." not in page


def test_a_day_with_much_moved_names_three_and_counts_the_rest(client, ada, day):
    machines = [_waiting(day) for _ in range(5)]
    _accept(day)
    first = min(machines, key=lambda one: _begins(one, day))
    sent = {"state": states.WAITING_FOR_PARTS}
    page = client.post(reverse("visit-state", args=[first.number]), sent, follow=True).text
    assert "And 2 more." in page


def _begins(visit: Visit, day: date) -> int:
    plan = day_plan(day, the_shop(), timezone.now())
    return next(p.begin for p in plan.proposed.placed if p.job == str(visit.number) and p.at == "roller")
