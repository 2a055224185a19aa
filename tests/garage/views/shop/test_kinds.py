"""Visit kinds and machine kinds on the shop's pages."""

import pytest
from django.urls import reverse

from garage.models.owners import MachineKind
from garage.models.shop import VisitKind
from tests.forms import values_of

pytestmark = pytest.mark.django_db


def page(client, name, *args):
    answer = client.get(reverse(name, args=args))
    assert answer.status_code == 200
    return answer.content.decode()


def test_visit_kinds_are_added_and_changed(boss):
    new = {
        "name": "Power run",
        "goes_home_with": "Its curve.",
        "booked_as": "power-run",
        "at": "roller",
        "minutes": "45",
    }
    new |= {"price": "60.00", "deposit": "0", "order": "1", "is_offered": "on"}
    assert boss.post(reverse("shop-kinds"), new).status_code == 302
    kind = VisitKind.objects.get(slug="power-run")
    values = values_of(page(boss, "shop-kind", kind.id), "Save")
    wrong = boss.post(reverse("shop-kind", args=[kind.id]), values | {"minutes": "42"})
    assert wrong.status_code == 422
    assert "multiple of five minutes" in wrong.content.decode()
    boss.post(reverse("shop-kind", args=[kind.id]), values | {"price": "66.00"})
    assert "£66.00" in page(boss, "shop-kinds")


def test_machine_kinds_are_added_and_changed(boss):
    assert boss.post(reverse("shop-machine-kinds"), {"make": "Ostler", "model": "110"}).status_code == 302
    kind = MachineKind.objects.get()
    values = values_of(page(boss, "shop-machine-kind", kind.id), "Save") | {
        "fires_per_turn": "0.5",
        "stroke_mm": "49.5",
    }
    wrong = boss.post(reverse("shop-machine-kind", args=[kind.id]), values | {"rod_mm": "20"})
    assert "longer than half the stroke, 24.75" in wrong.content.decode()
    boss.post(reverse("shop-machine-kind", args=[kind.id]), values | {"rod_mm": "98"})
    kind.refresh_from_db()
    assert (kind.fires_per_turn, float(kind.rod_mm)) == (0.5, 98.0)
