"""Where a hole can be reported: the lines that RFC 9116 asks for, in force when they are read."""

from datetime import datetime, timedelta

import pytest
from django.utils import timezone

from tests.factories import garage as make

pytestmark = pytest.mark.django_db
ADDRESS = "/.well-known/security.txt"


def test_it_names_the_shops_own_address_and_a_day_that_is_always_ahead(client, settings):
    settings.SITE_URL = "https://garage.example.org"
    make.shop(email="garage@example.com")
    answer = client.get(ADDRESS)
    assert answer["Content-Type"] == "text/plain; charset=utf-8"
    fields = dict(line.split(": ", 1) for line in answer.text.splitlines())
    assert fields["Contact"] == "mailto:garage@example.com"
    assert fields["Canonical"] == "https://garage.example.org/.well-known/security.txt"
    ahead = datetime.fromisoformat(fields["Expires"]) - timezone.now()
    assert timedelta(days=89) < ahead < timedelta(days=365)


def test_without_a_shop_there_is_none(client):
    assert client.get(ADDRESS).status_code == 404
