"""What a browser may let a page use: nothing, but the microphone where the owner's clip is recorded."""

import pytest
from django.urls import reverse

from garage.reads import links
from tests.factories import garage as make

pytestmark = pytest.mark.django_db


def allowed(answer):
    given = dict(one.split("=") for one in answer["Permissions-Policy"].split(", "))
    assert {"microphone", "camera", "geolocation"} <= given.keys()
    return [name for name, who in given.items() if who != "()"]


def test_the_microphone_is_for_the_page_that_records_and_for_no_other(client):
    make.shop()
    token = links.token(make.visit(), links.SHEET)
    assert allowed(client.get(reverse("sheet-clip", args=[token]))) == ["microphone"]
    for path in (reverse("front"), reverse("sheet", args=[token]), reverse("log-in"), "/nowhere/"):
        assert allowed(client.get(path)) == []


def test_a_dead_link_to_a_recording_page_records_nothing(client):
    make.shop()
    assert allowed(client.get(reverse("sheet-clip", args=["1-1.forged"]))) == []
