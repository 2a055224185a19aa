"""Fix first and the ring list."""

import pytest
from django.urls import reverse

from garage.models.visits import Visit
from tests.factories import garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    garage.shop()
    client.force_login(garage.front_desk())
    return client


def test_a_visit_to_be_put_right_is_listed_under_fix_first(desk):
    visit = garage.visit(route="fix-first", bench_minutes=40)
    assert reverse("visit", args=[visit.number]) in desk.get(reverse("fix-first")).text


def test_an_owner_who_was_rung_leaves_the_list_with_what_was_said(desk):
    visit = garage.visit(to_ask=["How old is the plug?"])
    assert "How old is the plug?" in desk.get(reverse("ring-list")).text
    done = reverse("ring-list-done", args=[visit.number])
    answer = desk.post(done, {"what_was_said": "New this spring."}, follow=True)
    assert answer.redirect_chain == [(reverse("ring-list"), 302)]
    assert "How old is the plug?" not in answer.text
    assert visit.trail.filter(detail__what_was_said="New this spring.").exists()


def test_a_second_call_or_too_long_a_note_is_refused(desk):
    visit = garage.visit(to_ask=["How old is the plug?"])
    done = reverse("ring-list-done", args=[visit.number])
    assert "said error" in desk.post(done, {"what_was_said": "x" * 2001}, follow=True).text
    assert Visit.objects.get().rung_at is None
    desk.post(done)
    assert "is not on the ring list any more" in desk.post(done, follow=True).text
