"""Somebody new is shown round once; each log-in name by itself; and again if they ask."""

import pytest
from django.urls import reverse

from garage.models.people import Person
from tests.factories import garage

pytestmark = pytest.mark.django_db


def words(client, address: str) -> str:
    return client.get(reverse(address)).content.decode()


@pytest.mark.parametrize("role", [Person.BOSS, Person.FRONT_DESK, Person.MECHANIC])
def test_each_stop_stands_on_its_page_until_it_is_put_away(client, role):
    garage.shop()
    person = garage.person(role=role)
    client.force_login(person)
    for number, stop in enumerate(person.round, 1):
        assert f"{number} of 5." in words(client, stop.address)
    answer = client.post(reverse("round-away"), {"stop": person.round[2].address})
    assert answer.url == reverse(person.round[2].address)
    assert not any("of 5." in words(client, stop.address) for stop in person.round)
    client.post(reverse("round-again"))
    assert "1 of 5." in words(client, "day-sheet")


def test_what_one_puts_away_another_still_sees(client):
    garage.shop()
    one, other = garage.person(role=Person.BOSS), garage.person(role=Person.MECHANIC)
    client.force_login(one)
    client.post(reverse("round-away"))
    client.force_login(other)
    assert "1 of 5." in words(client, "day-sheet")


def test_a_stop_that_does_not_exist_leads_to_the_first(client):
    garage.shop()
    client.force_login(garage.person(role=Person.BOSS))
    assert client.post(reverse("round-away"), {"stop": "https://example.org"}).url == reverse("day-sheet")
