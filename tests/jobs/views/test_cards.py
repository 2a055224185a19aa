from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from garage.core import states
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db


@pytest.fixture
def mechanic(client):
    person = garage.person(first_name="Hal")
    client.force_login(person)
    return person


def numbers_of(text: str, *visits) -> list[int]:
    """Of those that stand on the page, as they stand."""
    places = {visit.number: text.find(f'href="{reverse("card", args=[visit.number])}"') for visit in visits}
    return sorted((number for number, place in places.items() if place >= 0), key=places.__getitem__)


def runs_on(card, person) -> None:
    card.labour.create(by=person, began_at=timezone.now() - timedelta(minutes=5))


def test_cards_are_for_the_workshop_only(client):
    assert client.get(reverse("cards")).status_code == 302


def test_without_a_machine_in_the_building_the_page_says_when_a_card_opens(client, mechanic):
    assert "A card opens when one is taken in." in client.get(reverse("cards")).text


def test_what_is_worked_on_stands_before_what_waits_and_nothing_that_is_gone_or_to_come(client, mechanic):
    order = (states.ON_THE_ROLLERS, states.ON_THE_BENCH, states.HERE, states.WAITING_FOR_PARTS, states.READY)
    here = [jobs.visit_here(state=state) for state in reversed(order)]
    away = [jobs.visit_here(state=state) for state in (states.BOOKED, states.COLLECTED)]
    text = client.get(reverse("cards")).text
    assert numbers_of(text, *here, *away) == [visit.number for visit in reversed(here)]


def test_ones_own_clock_comes_first_and_says_since_when(client, mechanic):
    rollers = jobs.visit_here(state=states.ON_THE_ROLLERS)
    mine = jobs.visit_here(state=states.HERE)
    runs_on(jobs.card(visit=mine), mechanic)
    text = client.get(reverse("cards")).text
    assert numbers_of(text, rollers, mine) == [mine.number, rollers.number]
    assert "Your clock has run since" in text


def test_anothers_clock_is_said_by_name_and_a_stopped_one_not_at_all(client, mechanic):
    other = garage.person(first_name="Ivy")
    visit = jobs.visit_here(state=states.ON_THE_BENCH)
    card = jobs.card(visit=visit)
    jobs.labour(card, minutes=5, by=mechanic, ended_at=timezone.now() - timedelta(hours=1))
    runs_on(card, other)
    text = client.get(reverse("cards")).text
    assert "Ivy’s clock has run since" in text
    assert "Your clock" not in text


def test_a_machine_that_waits_for_a_part_says_for_which(client, mechanic):
    visit = jobs.visit_here(state=states.WAITING_FOR_PARTS)
    visit.part_orders.create(words="Stator plate", quantity=1, price_each=10, at=timezone.now(), by=mechanic)
    assert "Ordered: Stator plate" in client.get(reverse("cards")).text


def test_the_page_asks_as_often_for_many_machines_as_for_one(client, mechanic):
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse("cards"))
        return len(queries)

    jobs.card()
    one = asked()
    for _ in range(4):
        jobs.card()
    assert asked() == one
