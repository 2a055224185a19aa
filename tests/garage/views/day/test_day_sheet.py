"""The day sheet and the buttons on it."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.core import states
from garage.models.shop import Shop
from garage.models.visits import Step, Visit
from tests.browser.any_hour import forenoon_zone
from tests.factories import garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def mechanic(client):
    garage.shop()
    person = garage.person(first_name="Ada")
    client.force_login(person)
    return person


@pytest.fixture
def step(mechanic):
    """The first step of a machine that is here."""
    visit = garage.visit(state=states.HERE, arrived_at=timezone.now())
    Step.objects.create(visit=visit, index=1, at="roller", minutes=90, what="set-up")
    return Step.objects.create(visit=visit, index=0, at="bench", minutes=10, what="gate", is_check=True)


def press(client, name, step, **sent):
    return client.post(reverse(name, args=[step.pk]), sent, follow=True)


def today():
    return f"{Shop.objects.get().local_time.day(timezone.now())}"


def text_of(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", answer.text).split())


def test_staff_can_open_the_sheet_of_any_day_and_its_paper(client, step):
    tomorrow = (timezone.localdate() + timedelta(days=1)).isoformat()
    assert "Day sheet" in client.get(reverse("day-sheet")).text
    assert client.get(reverse("day-sheet-on", args=[tomorrow])).status_code == 200
    paper = client.get(reverse("day-sheet-pdf", args=[tomorrow]))
    assert (paper["Content-Type"], paper.content[:4]) == ("application/pdf", b"%PDF")
    client.logout()
    assert client.get(reverse("day-sheet")).status_code == 302


def test_work_at_a_station_that_is_no_more_is_still_drawn(client, step):
    now = timezone.now()
    begun = {"began_at": now - timedelta(minutes=3), "ended_at": now - timedelta(minutes=1)}
    for station in (7, None):
        Step.objects.filter(pk=step.pk).update(**begun, station=station)
        day = Shop.objects.get().local_time.day(begun["began_at"])
        page = client.get(reverse("day-sheet-on", args=[day.isoformat()]))
        assert page.status_code == 200
        assert ("Bench 7" in page.text) == (station == 7)
        assert client.get(reverse("day-sheet-pdf", args=[day.isoformat()])).status_code == 200
    assert client.get(reverse("wall")).status_code == 200


@pytest.mark.parametrize("day", ["soon", "2026-13-01", "2026-02-30"])
def test_an_invalid_day_is_not_found(client, mechanic, day):
    assert client.get(reverse("day-sheet-on", args=[day])).status_code == 404


def test_with_htmx_the_list_comes_back_alone(client, step):
    answer = client.get(reverse("day-sheet"), headers={"HX-Request": "true"})
    assert "HX-Request" in answer["Vary"]
    assert "<h1" not in answer.text
    assert 'id="day-list"' in answer.text


def test_what_comes_anew_each_minute_holds_nothing_that_can_be_typed_into(client, step):
    booked = garage.visit(starts_at=garage.next_workday_at(10))
    Step.objects.create(visit=booked, index=0, at="bench", minutes=10, what="gate", is_check=True)
    address = reverse("day-sheet-on", args=[f"{booked.starts_at:%Y-%m-%d}"])
    page, polled = client.get(address).text, client.get(address, headers={"HX-Request": "true"}).text
    assert 'hx-trigger="every 60s"' in polled
    assert re.findall(r"<(?:select|textarea|details (?!class=\"in-words\" id=)|input (?![^>]*hidden))", polled) == []
    assert 'type="time" name="begins"' in page


def test_a_tap_on_the_sheet_brings_the_list_alone_with_what_refused_it(client, step):
    later = step.visit.steps.get(index=1)
    sent, htmx = {"station": "1", "day": f"{timezone.localdate()}"}, {"HX-Request": "true"}
    refused = client.post(reverse("step-begin", args=[later.pk]), sent, headers=htmx)
    assert (refused.status_code, "has not passed the gate" in refused.text) == (409, True)
    assert 'id="day-list"' in refused.text
    begun = client.post(reverse("step-begin", args=[step.pk]), sent, headers=htmx)
    assert (begun.status_code, "<h1" in begun.text, 'id="day-list"' in begun.text) == (200, False, True)
    ended = client.post(reverse("step-end", args=[step.pk]), sent, headers=htmx)
    step.refresh_from_db()
    assert (ended.status_code, step.ended_at is not None) == (200, True)


def test_a_closed_day_leads_to_the_next_working_day(client, mechanic):
    sunday = timezone.localdate() + timedelta(days=6 - timezone.localdate().weekday() + 7)
    page = text_of(client.get(reverse("day-sheet-on", args=[f"{sunday}"])))
    assert "Closed : closed on Sundays. The next working day is" in page
    assert (
        f"{sunday + timedelta(days=1):%A} {(sunday + timedelta(days=1)).day}" in page.partition("The day in words")[2]
    )
    assert ", the next working day" in page


def test_a_step_is_begun_and_ended_and_leads_back_to_the_page_of_its_button(client, step, mechanic):
    begun = press(client, "step-begin", step, station="1", visit=step.visit.number)
    assert begun.redirect_chain == [(f"{reverse('visit', args=[step.visit.number])}#work", 302)]
    step.refresh_from_db()
    assert (step.by, step.station) == (mechanic, 1)
    ended = press(client, "step-end", step, day="2027-03-01")
    assert ended.redirect_chain == [(f"{reverse('day-sheet-on', args=['2027-03-01'])}#next", 302)]
    step.refresh_from_db()
    assert step.ended_at is not None


@pytest.mark.parametrize("station", ["", "0", "two"])
def test_a_bench_without_a_number_is_asked_for(client, step, station):
    assert "Which bench? Give its number, 1 or more." in text_of(press(client, "step-begin", step, station=station))
    step.refresh_from_db()
    assert step.began_at is None


def test_a_step_that_may_not_begin_says_why_on_the_page_it_came_from(client, step):
    later = step.visit.steps.get(index=1)
    answer = press(client, "step-begin", later, station="1")
    assert answer.redirect_chain == [(reverse("day-sheet"), 302)]
    assert "has not passed the gate" in text_of(answer)
    assert "said error" in answer.text


def test_an_unknown_step_is_not_found(client, mechanic):
    assert client.post(reverse("step-end", args=[999])).status_code == 404
    assert not Visit.objects.exists()


@pytest.mark.parametrize("day", ["0001-01-01", "1999-12-31", "2100-01-01", "9999-12-31"])
@pytest.mark.parametrize("name", ["day-sheet-on", "day-sheet-pdf"])
def test_a_day_that_no_garage_means_is_not_found(client, mechanic, name, day):
    assert client.get(reverse(name, args=[day])).status_code == 404


@pytest.mark.parametrize("day", ["2000-01-01", "2099-12-31"])
def test_the_first_and_the_last_day_that_can_be_meant_have_their_sheet(client, mechanic, day):
    assert client.get(reverse("day-sheet-on", args=[day])).status_code == 200


@pytest.mark.parametrize("number", ["٣", "²", "9" * 4400, "-1"])
@pytest.mark.parametrize("page", ["card", "visit"])
def test_a_number_that_is_none_sends_back_to_the_day_sheet(client, step, page, number):
    answer = client.post(reverse("step-begin", args=[step.pk]), {page: number, "station": "1"})
    assert (answer.status_code, answer["Location"]) == (302, f"{reverse('day-sheet')}#step-{step.pk}")
    step.refresh_from_db()
    assert step.began_at is not None


@pytest.fixture
def running(client, step, mechanic):
    """Begun at bench 1, on today's sheet, in a zone where it is forenoon: what is left of it fits before closing."""
    Shop.objects.update(zone=forenoon_zone(timezone.now()))
    garage.hours_today()
    Visit.objects.filter(pk=step.visit_id).update(starts_at=None, at="", minutes=0)
    press(client, "step-begin", step, station="1")
    step.refresh_from_db()
    return step


def test_ones_own_work_says_so_and_nobody_elses(client, running, mechanic):
    assert f"{mechanic.name}, <b>yours</b>" in client.get(reverse("day-sheet")).text
    client.force_login(garage.person(first_name="Ivy"))
    other = client.get(reverse("day-sheet")).text
    assert mechanic.name in other
    assert "<b>yours</b>" not in other


def test_a_running_step_pauses_with_one_tap_and_the_rest_of_it_can_begin(client, running):
    page = client.get(reverse("day-sheet")).text
    assert reverse("step-pause", args=[running.pk]) in page
    answer = press(client, "step-pause", running, day=today())
    assert answer.redirect_chain[0][0].endswith("#next")
    rest = Step.objects.get(visit=running.visit, began_at=None, is_check=True)
    assert (rest.minutes, rest.what) == (10, "gate")
    assert reverse("step-begin", args=[rest.pk]) in client.get(reverse("day-sheet")).text


def test_a_running_step_that_runs_late_is_given_minutes_with_one_tap(client, running):
    answer = press(client, "step-late", running, more_min="15", day=today())
    assert answer.redirect_chain[0][0].endswith(f"#step-{running.pk}")
    running.refresh_from_db()
    assert running.minutes == 25
    assert "gate, 25 min" in text_of(answer)


@pytest.mark.parametrize(("more", "status"), [("", 422), ("soon", 422), ("7", 422)])
def test_minutes_that_cannot_be_added_are_refused_in_one_sentence(client, running, more, status):
    sent, htmx = {"more_min": more, "day": today()}, {"HX-Request": "true"}
    answer = client.post(reverse("step-late", args=[running.pk]), sent, headers=htmx)
    assert answer.status_code == status
    assert "5, 15 or 30" in text_of(answer)
    assert 'id="day-list"' in answer.text


def test_taps_on_a_running_step_lead_back_to_the_card_and_the_visit(client, running):
    late = press(client, "step-late", running, more_min="5", card=running.visit.number)
    assert late.redirect_chain == [(f"{reverse('card', args=[running.visit.number])}#hand", 302)]
    paused = press(client, "step-pause", running, visit=running.visit.number)
    assert paused.redirect_chain == [(f"{reverse('visit', args=[running.visit.number])}#work", 302)]
    assert "has not passed the gate" not in text_of(paused)


@pytest.mark.parametrize("page", ["card", "visit", "day-sheet"])
def test_a_running_gate_leads_to_where_it_passes_or_fails(client, running, page):
    number = running.visit.number
    text = client.get(reverse(page, args=[] if page == "day-sheet" else [number])).text
    for name in ("step-pause", "step-late", "step-end"):
        assert reverse(name, args=[running.pk]) in text
    assert f'href="{reverse("gate", args=[number])}">To the gate: passed or failed' in text


def test_a_visit_that_is_late_is_said_not_to_have_come_on_the_sheet(client, mechanic):
    late = garage.visit(starts_at=timezone.now() - timedelta(minutes=30), at="roller", minutes=90)
    day = Shop.objects.get().local_time.day(late.starts_at)
    page = client.get(reverse("day-sheet-on", args=[day.isoformat()])).text
    if today() == f"{day}":  # not in the first minutes of a day
        assert reverse("visit-did-not-come", args=[late.number]) in page
    answer = client.post(reverse("visit-did-not-come", args=[late.number]), {"day": f"{day}"}, follow=True)
    assert answer.redirect_chain == [(reverse("day-sheet-on", args=[day.isoformat()]), 302)]
    assert f"Visit {late.number} did not come" in text_of(answer)
    late.refresh_from_db()
    assert late.state == states.DID_NOT_COME
