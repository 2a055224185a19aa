"""The workshop changes visits as a whole."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.changes.day import selling
from garage.core import states
from garage.models.visits import Visit
from garage.reads.shop import the_shop
from tests.factories import booking

pytestmark = pytest.mark.django_db
PAGES = ["visit-move", "visit-time", "visit-call-off"]
POSTS = ["visit-did-not-come", "visit-state"]


def _text(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def _url(name, visit):
    return reverse(name, args=[visit.number])


@pytest.mark.parametrize("name", [*PAGES, *POSTS])
def test_only_staff_get_in(client, visit, name):
    answer = client.post(_url(name, visit), {"why": "x", "state": "here"})
    assert answer.status_code == 302
    assert answer.url.startswith(reverse("log-in"))
    visit.refresh_from_db()
    assert visit.state == states.BOOKED


@pytest.mark.parametrize("name", PAGES)
def test_a_look_changes_nothing(desk, visit, name):
    assert desk.get(_url(name, visit)).status_code == 200
    again = Visit.objects.get()
    assert (again.starts_at, again.state) == (visit.starts_at, visit.state)


@pytest.mark.parametrize("name", [*PAGES, *POSTS])
def test_an_unknown_number_is_not_found(desk, kind, name):
    assert desk.post(reverse(name, args=[999])).status_code == 404


def test_a_visit_is_moved_to_a_time_that_is_shown(desk, visit, start):
    later = start + timedelta(hours=4)
    assert later.isoformat() in desk.get(_url("visit-move", visit)).content.decode()
    assert desk.post(_url("visit-move", visit), {"starts_at": later.isoformat()}).url == _url("visit", visit)
    assert Visit.objects.get().starts_at == later


def test_no_roller_times_are_shown_for_a_machine_that_must_not_run_but_bench_times_are(desk, visit):
    Visit.objects.filter(pk=visit.pk).update(must_not_run=["It pinks."])
    moving = desk.get(_url("visit-move", visit))
    assert "It gets no roller time until the bench has looked at it" in _text(moving)
    assert 'name="starts_at"' not in moving.text
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE, arrived_at=timezone.now())
    first = desk.get(_url("visit-time", visit))
    assert first.context["place"]["at"].value() == "bench"
    assert 'name="starts_at"' in first.text
    rollers = desk.get(_url("visit-time", visit), {"at": "roller", "minutes": 90})
    assert "It gets no roller time until the bench has looked at it" in _text(rollers)
    assert 'name="starts_at"' not in rollers.text


def test_the_desk_is_asked_to_ring_if_there_is_no_mail_address(desk, visit, start):
    visit.owner.email = ""
    visit.owner.save()
    answer = desk.post(_url("visit-move", visit), {"starts_at": (start + timedelta(hours=4)).isoformat()}, follow=True)
    assert "there is no email address on file, so ring 07700 900321" in _text(answer)


def test_a_move_to_a_taken_time_is_refused_with_the_nearest_ones(desk, visit, kind, start):
    other = booking.booked(kind, start + timedelta(hours=4))
    answer = desk.post(_url("visit-move", visit), {"starts_at": other.starts_at.isoformat()})
    assert answer.status_code == 409
    assert len(answer.context["near"]) == 3
    assert desk.post(_url("visit-move", visit), {"starts_at": "soon"}).status_code == 422


def test_a_visit_to_be_put_right_is_given_bench_time(desk, visit, start):
    selling.give_back(visit, the_shop())
    Visit.objects.update(state=states.TO_PUT_RIGHT, route="fix-first", bench_minutes=50)
    page = desk.get(_url("visit-time", visit))
    assert page.context["place"].data == {"at": "bench", "minutes": 50}
    answer = desk.post(_url("visit-time", visit), {"at": "bench", "minutes": "50", "starts_at": start.isoformat()})
    assert answer.url == _url("visit", visit)
    again = Visit.objects.get()
    assert (again.at, again.minutes, again.starts_at, again.state) == ("bench", 50, start, states.BOOKED)


@pytest.mark.parametrize("minutes", ["", "0", "-5", "soon", "100000"])
def test_an_invalid_length_is_refused_in_a_sentence(desk, visit, start, minutes):
    selling.give_back(visit, the_shop())
    answer = desk.post(_url("visit-time", visit), {"at": "bench", "minutes": minutes, "starts_at": start.isoformat()})
    assert answer.status_code == 422
    assert desk.get(_url("visit-time", visit), {"at": "bench", "minutes": minutes}).status_code == 422


def test_calling_off_needs_a_reason(desk, visit):
    assert desk.post(_url("visit-call-off", visit), {"why": ""}).status_code == 422
    assert desk.post(_url("visit-call-off", visit), {"why": "owner is ill"}).url == _url("visit", visit)
    again = Visit.objects.get()
    assert (again.state, again.called_off_why) == (states.CALLED_OFF, "owner is ill")
    assert desk.post(_url("visit-call-off", visit), {"why": "again"}).status_code == 409


def test_a_visit_that_was_due_can_be_a_no_show(desk, visit):
    assert "not due yet" in _text(desk.post(_url("visit-did-not-come", visit), follow=True))
    Visit.objects.update(starts_at=timezone.now() - timedelta(minutes=20))
    assert "did not come" in _text(desk.post(_url("visit-did-not-come", visit), follow=True))
    assert Visit.objects.get().state == states.DID_NOT_COME


@pytest.mark.parametrize("state", ["", "nonsense", "on-the-rollers", "called-off"])
def test_a_state_not_possible_now_is_refused_in_a_sentence(desk, visit, state):
    answer = desk.post(_url("visit-state", visit), {"state": state}, follow=True)
    assert answer.status_code == 200
    assert Visit.objects.get().state == states.BOOKED
    assert "said error" in answer.content.decode()


def test_a_state_of_the_floor_is_said(desk, visit):
    Visit.objects.update(state=states.HERE, arrived_at=timezone.now())
    desk.post(_url("visit-state", visit), {"state": "waiting-for-parts"})
    assert Visit.objects.get().state == states.WAITING_FOR_PARTS
