from decimal import Decimal

import pytest
from django.urls import reverse

from garage.models.packers import PackerStock
from tests.factories import garage as make

pytestmark = pytest.mark.django_db
NEW = {"thickness_mm": "0,8", "count": "3", "price_each": ""}


@pytest.fixture
def boss(client):
    make.shop()
    client.force_login(make.boss())
    return client


@pytest.fixture
def row(boss):
    boss.post(reverse("shop-packers"), NEW)
    return PackerStock.objects.get()


def test_only_the_boss_opens_it(client):
    make.shop()
    assert reverse("log-in") in client.get(reverse("shop-packers"))["Location"]
    for person, status in ((make.person(), 403), (make.front_desk(), 403), (make.boss(), 200)):
        client.force_login(person)
        assert client.get(reverse("shop-packers")).status_code == status


def test_a_thickness_is_added_with_a_comma_recounted_and_removed(boss, row):
    assert (row.thickness_mm, row.count, row.price_each) == (Decimal("0.80"), 3, None)
    boss.post(reverse("shop-packer-alter", args=[row.pk]), {"count": "2", "price_each": "1.20"})
    row.refresh_from_db()
    assert (row.count, row.price_each) == (2, Decimal("1.20"))
    assert "0.8 mm" in boss.get(reverse("shop-packers")).text
    boss.post(reverse("shop-packer-remove", args=[row.pk]))
    assert "Packers of 0.8 mm are off the list." in boss.get(reverse("shop-packers")).text
    assert not PackerStock.objects.exists()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"thickness_mm": "0.8"}, "one that is not on the list yet"),
        ({"thickness_mm": "half"}, "Enter a number"),
        ({"thickness_mm": "11"}, "allowed is 0.02 to 10"),
        ({"thickness_mm": "0.5", "count": "100"}, "allowed is 0 to 99"),
        ({"thickness_mm": "0.5", "price_each": "-1"}, "nothing to £999,999.99"),
    ],
)
def test_impossible_input_is_reported_and_kept_as_typed(boss, row, typed, said):
    answer = boss.post(reverse("shop-packers"), NEW | typed)
    assert answer.status_code == 422
    assert said in answer.text
    for value in typed.values():
        assert f'value="{value}"' in answer.text
    assert PackerStock.objects.count() == 1


def test_an_impossible_count_is_reported_in_its_line_and_kept(boss, row):
    answer = boss.post(reverse("shop-packer-alter", args=[row.pk]), {"count": "-4", "price_each": ""})
    assert answer.status_code == 422
    assert "allowed is 0 to 99" in answer.text.split(f'id="id_{row.pk}_count_error"')[1][:200]
    assert 'value="-4"' in answer.text


def test_unknown_rows_are_not_found(boss):
    for name in ("shop-packer-alter", "shop-packer-remove"):
        assert boss.post(reverse(name, args=[999])).status_code == 404
