import pytest
from django.urls import reverse

from garage.core.keeping.periods import SHEETS
from tests.factories import garage as make

pytestmark = pytest.mark.django_db


def test_anybody_reads_what_is_kept_and_how_long_and_whom_to_ask(client, settings):
    shop, settings.BACKUPS_KEPT = make.shop(), 9
    text = client.get(reverse("privacy")).text
    for said in (shop.name, shop.address_line, shop.telephone, shop.email, f"{SHEETS.words} after", "9 days"):
        assert said in text


def test_it_opens_before_there_is_a_shop_and_keeps_no_session_of_who_reads_it(client):
    answer = client.get(reverse("privacy"))
    assert answer.status_code == 200
    assert set(answer.cookies) == {"csrftoken"}


@pytest.mark.parametrize("name", ["front", "log-in", "privacy"])
def test_each_public_page_leads_to_it(client, name):
    make.shop()
    assert f'href="{reverse("privacy")}"' in client.get(reverse(name)).text
