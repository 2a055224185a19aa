"""The workshop changes visits as a whole."""

from __future__ import annotations

import html
import re
from datetime import timedelta
from itertools import pairwise

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.changes.day import selling
from garage.core import states
from garage.models.visits import Visit
from garage.reads.shop import the_shop
from tests.factories import booking
from tests.forms import values_of

pytestmark = pytest.mark.django_db
PAGES = ["visit-move", "visit-time", "visit-call-off", "visit-put-off", "visit-bench-limit"]
LOOKS = ["visit-move-look"]
POSTS = ["visit-did-not-come", "visit-state"]


def _text(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def _url(name, visit):
    return reverse(name, args=[visit.number])


def _day(instant):
    return the_shop().local_time.day(instant)


@pytest.mark.parametrize("name", [*PAGES, *LOOKS, *POSTS])
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


def test_a_visit_is_moved_to_a_time_that_is_shown_on_its_day(desk, visit, start):
    later = start + timedelta(hours=4)
    shown = desk.get(_url("visit-move", visit), {"day": _day(start)}).content.decode()
    assert later.isoformat() in shown
    assert visit.starts_at.isoformat() not in shown
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


def test_days_are_chosen_first_and_one_of_them_shows_its_times(desk, visit, start):
    page = desk.get(_url("visit-move", visit))
    days = page.context["days"]
    assert len(days) == 10
    assert page.text.count('name="starts_at"') == len(days[0].times) <= 40
    for free in days[1:]:
        assert f'?day={free.day}#day-{free.day}"' in page.text
    other = desk.get(_url("visit-move", visit), {"day": days[3].day})
    assert other.text.count('name="starts_at"') == sum(at != visit.starts_at for at in days[3].times)
    assert f'id="day-{days[3].day}"' in other.text
    assert desk.get(_url("visit-move", visit), {"day": "soon"}).context["chosen"] == days[0]


def test_another_day_keeps_place_length_and_first_day(desk, visit, start):
    selling.give_back(visit, the_shop())
    asked = {"at": "bench", "minutes": "50", "since": _day(start)}
    page = desk.get(_url("visit-time", visit), asked)
    another = page.context["days"][1].day
    assert f"?at=bench&amp;minutes=50&amp;since={_day(start)}&amp;day={another}#day-{another}" in page.text
    again = desk.get(_url("visit-time", visit), asked | {"day": another})
    assert again.context["chosen"].day == another


def test_before_a_move_the_desk_is_asked_once_more_with_both_times_and_the_words_of_the_mail(desk, visit, start):
    later = start + timedelta(hours=4)
    page = desk.get(_url("visit-move-look", visit), {"starts_at": later.isoformat()})
    said, local = _text(page), the_shop().local_time
    assert f"Now {local.in_words(start)} Then {local.in_words(later)}" in said
    assert "Move it and mail the owner" in said
    assert not visit.messages.filter(what="visit_moved").exists()
    assert Visit.objects.get().starts_at == start
    desk.post(_url("visit-move", visit), values_of(page.text, "Move it and mail the owner"))
    assert Visit.objects.get().starts_at == later
    mailed = visit.messages.get(what="visit_moved")
    assert mailed.subject in said
    assert html.escape(mailed.text) in page.text.replace("\r\n", "\n")


def test_the_way_back_from_a_move_leads_to_the_same_day(desk, visit, start):
    page = desk.get(_url("visit-move-look", visit), {"starts_at": start.isoformat()})
    back = f"{_url('visit-move', visit)}?since={_day(start)}&amp;day={_day(start)}#day-{_day(start)}"
    assert back in page.text
    assert desk.get(back.replace("&amp;", "&")).context["chosen"].day == _day(start)


@pytest.mark.parametrize("starts_at", ["", "soon"])
def test_a_look_at_a_move_to_no_time_leads_back_with_a_sentence(desk, visit, starts_at):
    answer = desk.get(_url("visit-move-look", visit), {"starts_at": starts_at}, follow=True)
    assert answer.redirect_chain == [(_url("visit-move", visit), 302)]
    assert "Choose one of the times shown." in answer.text


def test_a_look_at_a_move_without_an_address_says_whom_to_ring(desk, visit, start):
    visit.owner.email = ""
    visit.owner.save()
    said = _text(desk.get(_url("visit-move-look", visit), {"starts_at": (start + timedelta(hours=4)).isoformat()}))
    assert "There is no email address on file. Ring 07700 900321 and say the new time yourself." in said
    assert "mail the owner" not in said


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


def test_the_soonest_bench_times_are_proposed_with_the_spread_and_one_tap_takes_one(desk, visit):
    selling.give_back(visit, the_shop())
    Visit.objects.update(
        state=states.TO_PUT_RIGHT, route="fix-first", bench_minutes=50, bench_minutes_from=20, bench_minutes_to=110
    )
    page = desk.get(_url("visit-time", visit))
    assert "50 bench minutes in the plan; likely 20 to 110." in page.text
    soonest = page.context["soonest"]
    free = [at for day in page.context["days"] for at in day.times]
    assert soonest[0] == free[0]
    assert all(at in free for at in soonest)
    assert [later - at >= timedelta(minutes=50) for at, later in pairwise(soonest)] == [True, True]
    shown = page.text.split("<h2>Soonest</h2>")[1].split("</ul>")[0]
    assert shown.count('<button class="main" name="starts_at"') == 3
    sent = values_of(page.text, the_shop().local_time.in_words(soonest[-1]))
    desk.post(_url("visit-time", visit), sent | {"starts_at": soonest[-1].isoformat()})
    again = Visit.objects.get()
    assert (again.starts_at, again.at, again.minutes) == (soonest[-1], "bench", 50)


def test_no_soonest_bench_times_are_proposed_for_the_rollers(desk, visit):
    selling.give_back(visit, the_shop())
    Visit.objects.update(state=states.TO_PUT_RIGHT, route="fix-first", bench_minutes=50)
    assert "Soonest" not in desk.get(_url("visit-time", visit), {"at": "roller", "minutes": 90}).text


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


def test_the_limit_that_the_owner_agreed_to_is_written_down_on_its_page(desk, visit):
    shown = _text(desk.get(reverse("visit", args=[visit.number])))
    assert "Bench work up to £120, the shop’s limit" in shown
    for wrong in ("", "-5", "a lot", "10001"):
        assert desk.post(_url("visit-bench-limit", visit), {"pounds": wrong}).status_code == 422
    answer = desk.post(_url("visit-bench-limit", visit), {"pounds": "150"})
    assert answer.url == f"{_url('visit', visit)}#money"
    assert "Bench work up to £150, as agreed" in _text(desk.get(reverse("visit", args=[visit.number])))


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


def test_what_the_workshop_can_not_do_is_put_off_with_its_reason(desk, visit):
    assert "The visit stays, without a time" in _text(desk.get(_url("visit-put-off", visit)))
    missing = desk.post(_url("visit-put-off", visit), {"why": ""})
    assert missing.status_code == 422
    assert desk.post(_url("visit-put-off", visit), {"why": "The roller is down."}).status_code == 302
    again = Visit.objects.get()
    assert (again.state, again.starts_at) == (states.BOOKED, None)
    assert desk.post(_url("visit-put-off", visit), {"why": "Once more."}).status_code == 409
