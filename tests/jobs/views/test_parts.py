from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.core import states
from garage.models.visits import Visit
from jobs.changes import parts
from jobs.models.parts import PartOrder, StockPart
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db


@pytest.fixture
def by(client):
    person = garage.boss()
    client.force_login(person)
    return person


@pytest.fixture
def visit(by):
    return jobs.card(by=by).visit


@pytest.fixture
def jet(by):
    given = {"place": "Drawer 3", "supplier": "Lane Parts", "price_each": Decimal("4.50"), "count": Decimal(2)}
    return parts.add(words="Main jet 98", by=by, now=timezone.now(), **given)


def writes(client, visit, **given):
    return client.post(reverse("card-write", args=[visit.number]), {f"part-{name}": to for name, to in given.items()})


def test_the_boss_keeps_the_list_and_a_mechanic_does_not(client, by):
    typed = {"words": "Plug", "count": "6", "price_each": "3.20", "place": "Drawer 1", "supplier": ""}
    assert "6 in stock, Drawer 1. £3.20 each" in client.post(reverse("shop-parts"), typed, follow=True).text
    again = client.post(reverse("shop-parts"), typed)
    assert again.status_code == 422
    assert "not on the list yet" in again.text
    part = StockPart.objects.get()
    assert client.post(reverse("shop-part", args=[part.pk]), typed | {"count": "4"}).status_code == 302
    assert StockPart.objects.get().count == 4
    assert "None yet." in client.post(reverse("shop-part-remove", args=[part.pk]), follow=True).text
    client.force_login(garage.person())
    assert client.get(reverse("shop-parts")).status_code == 403


def test_a_tap_takes_a_part_of_the_list(client, visit, jet):
    assert "Main jet 98: 2 in stock, Drawer 3, £4.50" in client.get(reverse("card", args=[visit.number])).text
    assert writes(client, visit, stock=jet.pk, quantity="1").status_code == 302
    assert visit.card.lines.get().words == "Main jet 98"


def test_more_than_is_there_is_refused_and_what_was_typed_stays(client, visit, jet):
    answer = writes(client, visit, stock=jet.pk, quantity="3")
    assert answer.status_code == 409
    assert "2 in stock, not 3" in answer.text
    assert writes(client, visit, quantity="1", price_each="5").status_code == 422


def test_a_visit_that_waits_for_parts_knows_for_which(client, visit, jet):
    typed = {"words": "CDI unit", "quantity": "1", "price_each": "65", "supplier": "Lane Parts", "is_ordered": "on"}
    assert writes(client, visit, **typed).status_code == 302
    Visit.objects.filter(pk=visit.pk).update(state=states.WAITING_FOR_PARTS)
    assert "It waits for 1 × CDI unit from Lane Parts." in client.get(reverse("visit", args=[visit.number])).text
    row = PartOrder.objects.get()
    card = client.post(reverse("card-part-came", args=[visit.number, row.pk]), follow=True).text
    assert "1 × CDI unit, £65.00 each" in card
    assert "Ordered, not here yet" not in card
    late = client.post(reverse("card-part-off", args=[visit.number, row.pk]), follow=True)
    assert "CDI unit is booked in already." in late.text
