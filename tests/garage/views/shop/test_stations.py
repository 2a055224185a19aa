"""Benches and rollers on the shop's pages."""

import pytest
from django.urls import reverse

from garage.models.shop import Station

pytestmark = pytest.mark.django_db


def page(client, name, *args):
    answer = client.get(reverse(name, args=args))
    assert answer.status_code == 200
    return answer.content.decode()


def test_stations_are_added_renamed_and_removed(boss):
    boss.post(reverse("shop-stations"), {"kind": "bench", "name": "Bench by the door"})
    third = Station.objects.get(kind="bench", number=3)
    boss.post(reverse("shop-station-rename", args=[third.id]), {"name": "Door bench"})
    assert "Door bench" in page(boss, "shop-stations")
    boss.post(reverse("shop-station-remove", args=[third.id]))
    assert "Door bench is removed." in page(boss, "shop-stations")
    assert "Door bench" not in page(boss, "shop-stations")


def test_an_impossible_removal_is_refused_with_the_reason(boss):
    remove = reverse("shop-station-remove", args=[Station.objects.get(kind="roller").id])
    answer = boss.post(remove, follow=True)
    assert answer.redirect_chain == [(reverse("shop-stations"), 302)]
    assert "at least one roller" in answer.content.decode()


def test_a_name_that_cannot_be_is_still_in_its_field(boss):
    first, other = Station.objects.order_by("id")[:2]
    answer = boss.post(reverse("shop-station-rename", args=[first.id]), {"name": "Bench " * 10})
    assert answer.status_code == 422
    assert f'value="{"Bench " * 10}"' in answer.text
    assert f'value="{other.name}"' in answer.text
