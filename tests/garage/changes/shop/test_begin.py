import pytest
from django.utils import timezone

from garage.changes.shop.begin import begin
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.shop import Shop, VisitKind
from tests.factories import garage as make

pytestmark = pytest.mark.django_db
GARAGE = {
    "garage": "Quarry Lane Rolling Road",
    "email": "garage@example.com",
    "telephone": "01632 960100",
    "log_in_name": "boss",
    "password": "ambleford-lane-7",
}


def test_a_garage_begins_with_a_boss_who_can_log_in_and_set_the_rest(client):
    boss = begin(**GARAGE, now=timezone.now())
    assert client.login(username="boss", password="ambleford-lane-7")
    assert boss.is_boss
    assert client.get("/shop/").status_code == 200
    assert client.get("/shop/people/").status_code == 200


def test_nothing_without_a_price_is_offered_online():
    begin(**GARAGE, now=timezone.now())
    assert not VisitKind.objects.filter(is_offered=True).exists()


def test_a_garage_that_has_begun_is_left_alone():
    make.boss()
    with pytest.raises(Refused, match="already set up"):
        begin(**GARAGE, now=timezone.now())
    assert not Shop.objects.exists()


def test_a_weak_password_leaves_nothing_behind():
    with pytest.raises(BadInput, match="Password"):
        begin(**GARAGE | {"password": "12345678"}, now=timezone.now())
    assert not Shop.objects.exists()
    assert not Person.objects.exists()
