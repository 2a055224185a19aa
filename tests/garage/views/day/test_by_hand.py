"""Setting a step by hand on the day sheet: the look at what it costs, setting it, and taking it out again."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.core import routes, states
from garage.models.visits import Step, Visit
from tests.factories import garage

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture
def mechanic(client):
    garage.shop()
    person = garage.person(first_name="Ada")
    garage.person(first_name="Jo")
    client.force_login(person)
    return person


def a_session(hour: int, **given: object) -> Step:
    """The roller step of a set-up at that hour of a coming working day."""
    visit = garage.visit(starts_at=garage.next_workday_at(hour), **given)
    Step.objects.create(visit=visit, index=0, at="bench", minutes=10, what="gate", is_check=True)
    return Step.objects.create(visit=visit, index=1, at="roller", minutes=65, what="set-up")


@pytest.fixture
def step(mechanic):
    return a_session(10)


def day_of(step: Step) -> str:
    return f"{timezone.localtime(step.visit.starts_at):%Y-%m-%d}"


def post(client, name, step, headers=None, **sent):
    return client.post(reverse(name, args=[step.pk]), {"day": day_of(step)} | sent, headers=headers)


def text_of(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", answer.text).split())


def test_a_step_is_fixed_by_hand_and_leads_back_to_its_place(client, step, mechanic):
    answer = post(client, "step-pin", step, station="1", person=mechanic.pk, begins="14:30")
    assert (answer.status_code, answer["Location"]) == (
        302,
        f"{reverse('day-sheet-on', args=[day_of(step)])}#by-hand",
    )
    step.refresh_from_db()
    at = step.pin_begins_at.astimezone(garage.LONDON)
    assert (step.pin_station, step.pin_by, f"{at:%Y-%m-%d %H:%M}") == (1, mechanic, f"{day_of(step)} 14:30")


def test_a_look_says_what_it_costs_and_changes_nothing(client, step):
    other = a_session(11)
    Visit.objects.filter(pk=step.visit_id).update(price=200)
    answer = post(client, "step-pin-look", step, begins="10:15")
    assert answer.status_code == 200
    assert f"Fixed so, one promise less is kept: {other.visit.number} at 11:00." in text_of(answer)
    assert re.search(rf'<details id="by-hand-{step.pk}" open>', answer.text)
    assert 'value="10:15"' in answer.text
    step.refresh_from_db()
    assert step.pin_begins_at is None


def test_a_look_that_costs_nothing_says_so_and_with_htmx_the_form_comes_alone(client, step):
    answer = post(client, "step-pin-look", step, headers=HTMX, begins="10:00", station="1")
    assert answer.status_code == 200
    assert "<h1" not in answer.text
    assert answer.text.strip().startswith(f'<details id="by-hand-{step.pk}" open>')
    assert "It costs nothing." in answer.text
    assert "HX-Request" in answer["Vary"]


@pytest.mark.parametrize("name", ["step-pin", "step-pin-look"])
@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"station": "two"}, "Give the number of a roller, 1 or more, or leave it empty."),
        ({"station": "0"}, "Give the number of a roller, 1 or more, or leave it empty."),
        ({"person": "999"}, "Pick one of the people, or leave it to the plan."),
        ({"begins": "25:00"}, "Give a time such as 14:30, or leave it empty."),
        ({"begins": "noon"}, "Give a time such as 14:30, or leave it empty."),
    ],
)
def test_what_cannot_be_used_is_said_in_one_sentence_and_what_was_typed_stays(client, step, name, sent, said):
    answer = post(client, name, step, **{"begins": "11:35", "station": "7"} | sent)
    assert answer.status_code == 422
    assert text_of(answer).count(said) == 1
    for typed in ({"begins": "11:35", "station": "7"} | sent).values():
        assert f'value="{typed}"' in answer.text or typed == "999"
    step.refresh_from_db()
    assert (step.pin_station, step.pin_by, step.pin_begins_at) == (None, None, None)


@pytest.mark.parametrize("name", ["step-pin", "step-pin-look"])
def test_a_station_that_the_shop_has_not_is_refused_with_what_was_typed(client, step, name):
    answer = post(client, name, step, station="2", begins="11:35")
    assert answer.status_code == 409
    assert "There is no roller 2 in the shop." in text_of(answer)
    assert 'value="11:35"' in answer.text


@pytest.mark.parametrize("name", ["step-pin", "step-pin-look"])
def test_a_time_that_is_past_is_refused(client, mechanic, name):
    garage.hours_today()
    visit = garage.visit(state=states.HERE, arrived_at=timezone.now())
    waiting = Step.objects.create(visit=visit, index=0, at="bench", minutes=10, what="gate", is_check=True)
    sent = {"begins": "00:00", "day": f"{timezone.now().astimezone(garage.LONDON).date()}"}
    answer = client.post(reverse(name, args=[waiting.pk]), sent)
    assert answer.status_code == 409
    assert "That time is past" in text_of(answer)


@pytest.mark.parametrize("stop", [{"must_not_run": ["It pinks."]}, {"route": routes.DO_NOT_RUN}])
@pytest.mark.parametrize("name", ["step-pin", "step-pin-look"])
@pytest.mark.parametrize("sent", [{"station": "1"}, {"begins": "11:35"}])
def test_a_machine_that_must_not_run_is_not_even_looked_at_on_the_rollers(client, step, name, sent, stop):
    assert post(client, "step-pin-look", step, **sent).status_code == 200
    Visit.objects.filter(pk=step.visit_id).update(**stop)
    answer = post(client, name, step, **sent)
    assert answer.status_code == 409
    assert "It is not planned on the rollers until the bench has looked at it." in text_of(answer)
    assert f'value="{next(iter(sent.values()))}"' in answer.text
    step.refresh_from_db()
    assert (step.pin_station, step.pin_begins_at) == (None, None)


def test_a_pin_that_stands_is_listed_with_what_it_costs_now_and_is_taken_out_with_one_button(client, step, mechanic):
    post(client, "step-pin", step, begins="10:30", person=mechanic.pk)
    page = client.get(reverse("day-sheet-on", args=[day_of(step)]))
    said = (
        f"{step.visit.number} , set-up: 10:30, Ada . Fixed so, one promise less is kept: {step.visit.number} at 10:00"
    )
    assert said in text_of(page)
    assert f'aria-label="Take it out: set-up of {step.visit.number}"' in page.text
    post(client, "step-pin", step)
    step.refresh_from_db()
    assert (step.pin_begins_at, step.pin_by) == (None, None)
    assert "Take it out" not in client.get(reverse("day-sheet-on", args=[day_of(step)])).text


def test_a_pin_that_leaves_its_job_out_can_still_be_seen_and_taken_out(client, step):
    post(client, "step-pin", step, begins="17:20")
    page = text_of(client.get(reverse("day-sheet-on", args=[day_of(step)])))
    assert f"{step.visit.number} is left out:" in page
    assert "Take it out" in page


def test_a_pin_of_a_machine_that_has_been_stopped_since_is_told_not_to_count(client, step):
    post(client, "step-pin", step, begins="10:30")
    Visit.objects.filter(pk=step.visit_id).update(must_not_run=["It pinks."])
    page = text_of(client.get(reverse("day-sheet-on", args=[day_of(step)])))
    assert "10:30 . The plan takes no account of it now." in page
    post(client, "step-pin", step)
    step.refresh_from_db()
    assert step.pin_begins_at is None


def test_only_some_pins_have_their_cost_worked_out_on_one_page(client, mechanic):
    sessions = [a_session(hour) for hour in range(8, 17)]
    Step.objects.filter(pk__in=[one.pk for one in sessions]).update(pin_station=1)
    page = text_of(client.get(reverse("day-sheet-on", args=[day_of(sessions[0])])))
    assert page.count("roller 1 . ") == 9
    assert page.count("roller 1 . It costs nothing.") == 6


def test_a_day_that_is_over_has_nothing_to_set(client, step):
    Step.objects.filter(pk=step.pk).update(pin_station=1)
    past = Visit.objects.get(pk=step.visit_id)
    Visit.objects.filter(pk=past.pk).update(starts_at=garage.next_workday_at(10) - timedelta(days=14))
    past.refresh_from_db()
    page = client.get(reverse("day-sheet-on", args=[f"{timezone.localtime(past.starts_at):%Y-%m-%d}"]))
    assert "Set by hand" not in page.text


def test_an_invalid_day_or_step_is_not_found(client, step):
    assert client.post(reverse("step-pin", args=[step.pk]), {"day": "soon"}).status_code == 404
    assert client.post(reverse("step-pin-look", args=[999]), {}).status_code == 404
