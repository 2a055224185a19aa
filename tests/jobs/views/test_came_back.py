"""The button for a machine that came back: on the closed card, and on the page of the visit that returns."""

import pytest
from django.urls import reverse
from django.utils import timezone

from diagnostics.changes import causes, learning
from diagnostics.reads.learning import counts_now
from garage.core import states
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db
BUTTON = "<summary>It came back with the same trouble"


@pytest.fixture
def mechanic(client):
    garage.shop()
    person = garage.person()
    client.force_login(person)
    return person


@pytest.fixture
def closed(mechanic):
    card = jobs.closed_card()
    causes.confirm(card.visit, fault="spark-module", by=mechanic, now=timezone.now())
    learning.card_closed(card.visit, by=mechanic, now=timezone.now())
    return card.visit


@pytest.fixture
def returning(closed):
    return garage.visit(machine=closed.machine)


def press(client, closed, returning=None, **more):
    given = {"returning": returning.number} if returning else {}
    return client.post(reverse("card-came-back", args=[closed.number]), given, **more)


def test_the_closed_card_has_the_button_and_an_open_one_has_none(client, closed):
    assert BUTTON in client.get(reverse("card", args=[closed.number])).text
    assert BUTTON not in client.get(reverse("card", args=[jobs.card().visit.number])).text


def test_pressed_on_the_card_it_is_marked_and_recounted(client, closed):
    assert counts_now().times["spark-module"] == 1
    answer = press(client, closed)
    assert answer.url == reverse("card", args=[closed.number])
    page = client.get(answer.url).text
    assert "Nothing is learned from this card" in page
    assert BUTTON not in page
    assert (counts_now().times["spark-module"], counts_now().not_learned) == (0, 1)
    assert "came back with the same trouble" in client.get(reverse("visit", args=[closed.number])).text


def test_the_visit_that_returns_says_what_it_was_last_time_and_leads_back_to_itself(client, closed, returning):
    page = client.get(reverse("visit", args=[returning.number])).text
    assert "Last time" in page
    assert "the ignition unit breaks down" in page
    answer = press(client, closed, returning)
    assert answer.url == reverse("visit", args=[returning.number])
    assert "Nothing is learned from that card" in client.get(answer.url).text


def test_a_visit_that_does_not_come_and_a_first_visit_have_no_button(client, closed):
    off = garage.visit(machine=closed.machine, state=states.CALLED_OFF)
    first = garage.visit()
    for visit in (off, first):
        assert BUTTON not in client.get(reverse("visit", args=[visit.number])).text


def test_with_htmx_only_its_part_of_the_page_comes_back(client, closed, returning):
    answer = press(client, closed, returning, headers={"HX-Request": "true"})
    assert answer.status_code == 200
    assert answer.text.lstrip().startswith('<section id="came-back"')
    assert "HX-Request" in answer["Vary"]
    again = press(client, closed, headers={"HX-Request": "true"})
    assert again.status_code == 409
    assert "is already marked as a come-back" in again.text


def test_pressed_twice_it_says_so_and_stays(client, closed):
    press(client, closed)
    assert (
        "is already marked as a come-back"
        in client.post(reverse("card-came-back", args=[closed.number]), follow=True).text
    )


def test_an_open_card_is_refused_in_a_sentence_and_nobody_from_outside_gets_in(client, mechanic):
    card = jobs.card()
    assert "is not closed" in client.post(reverse("card-came-back", args=[card.visit.number]), follow=True).text
    client.logout()
    assert press(client, card.visit).url.startswith(reverse("log-in"))


def take_back(client, closed, returning=None, **more):
    given = {"returning": returning.number} if returning else {}
    return client.post(reverse("card-did-not-come-back", args=[closed.number]), given, **more)


def test_the_mark_is_taken_back_on_the_card_and_on_the_visit_that_returned(client, closed, returning):
    for stands_on in (None, returning):
        press(client, closed, stands_on)
        assert counts_now().times["spark-module"] == 0
        answer = take_back(client, closed, stands_on)
        assert answer.url == (
            reverse("visit", args=[returning.number]) if stands_on else reverse("card", args=[closed.number])
        )
        assert BUTTON in client.get(answer.url).text
        assert counts_now().times["spark-module"] == 1


def test_withdrawing_an_unmarked_come_back_says_so_with_and_without_htmx(client, closed):
    answer = take_back(client, closed, headers={"HX-Request": "true"})
    assert answer.status_code == 409
    assert "is not marked as a come-back" in answer.text
    page = client.post(reverse("card-did-not-come-back", args=[closed.number]), follow=True)
    assert "is not marked as a come-back" in page.text
    client.logout()
    assert take_back(client, closed).url.startswith(reverse("log-in"))


@pytest.mark.parametrize("number", ["٣", "9" * 4400, "", "-1"])
def test_pressed_with_a_number_that_is_none_it_goes_back_to_the_card(client, closed, number):
    answer = client.post(reverse("card-came-back", args=[closed.number]), {"returning": number})
    assert (answer.status_code, answer["Location"]) == (302, reverse("card", args=[closed.number]))
