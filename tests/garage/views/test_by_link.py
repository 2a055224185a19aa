from urllib.parse import urlencode

import pytest
from django.db.models import F
from django.urls import reverse

from garage.changes.people import link_limits
from garage.models.attempts import Attempt
from garage.reads import links
from tests.factories import garage as make

pytestmark = pytest.mark.django_db
LEADS_AWAY = "see www.nowhere.example"  # refused at its field
BEHIND_A_LINK = pytest.mark.parametrize(("name", "purpose"), [("sheet", "sheet"), ("owner-visit", "visit")])


@pytest.fixture
def visit():
    make.shop()
    return make.visit()


@BEHIND_A_LINK
def test_revoked_and_forged_links_get_the_same_kind_answer(client, visit, name, purpose):
    token = links.token(visit, purpose)
    assert client.get(reverse(name, args=[token])).status_code == 200
    visit.link_generation += 1
    visit.save()
    for dead in (token, "1-1.forged"):
        answer = client.get(reverse(name, args=[dead]))
        assert answer.status_code == 410
        assert b"Send a new link" in answer.content


@BEHIND_A_LINK
def test_a_link_for_one_purpose_opens_no_other_page(client, visit, name, purpose):
    other = next(each for each in links.PURPOSES if each != purpose)
    assert client.get(reverse(name, args=[links.token(visit, other)])).status_code == 410


@BEHIND_A_LINK
def test_pages_behind_a_link_send_no_referrer(client, visit, name, purpose):
    for token, status in ((links.token(visit, purpose), 200), ("1-1.forged", 410)):
        answer = client.get(reverse(name, args=[token]))
        assert answer.status_code == status
        assert answer["Referrer-Policy"] == "no-referrer"
        assert "no-store" in answer["Cache-Control"]
        assert answer["X-Robots-Tag"] == "noindex"


@BEHIND_A_LINK
def test_looking_changes_nothing(client, visit, name, purpose):
    before = type(visit).objects.values().get(pk=visit.pk)
    client.get(reverse(name, args=[links.token(visit, purpose)]))
    assert type(visit).objects.values().get(pk=visit.pk) == before
    assert not visit.trail.exists()
    assert not visit.messages.exists()


@pytest.fixture
def two_an_hour(monkeypatch):
    monkeypatch.setattr(link_limits, "MOST_SENT", 2)


def call_off(client, visit, why, **headers):
    """As a browser sends a form without files."""
    url = reverse("owner-call-off", args=[links.token(visit, "visit")])
    return client.post(url, urlencode({"why": why}), "application/x-www-form-urlencoded", headers=headers)


def test_more_than_anybody_sends_is_refused_and_what_was_typed_can_be_sent_again(client, visit, two_an_hour):
    assert [call_off(client, visit, LEADS_AWAY).status_code for _ in range(2)] == [422, 422]
    answer = call_off(client, visit, "a cold & a cough")
    assert answer.status_code == 429
    assert 'name="why" value="a cold &amp; a cough"' in answer.text
    visit.refresh_from_db()
    assert visit.called_off_at is None


def test_what_is_refused_does_not_count_and_looking_and_other_visits_go_on(client, visit, two_an_hour):
    for _ in range(4):
        call_off(client, visit, LEADS_AWAY)
    assert client.get(reverse("owner-visit", args=[links.token(visit, "visit")])).status_code == 200
    assert call_off(client, make.visit(), LEADS_AWAY).status_code == 422
    Attempt.objects.update(at=F("at") - link_limits.SENT_WITHIN)
    assert call_off(client, visit, LEADS_AWAY).status_code == 422


def test_a_part_that_htmx_asked_for_makes_way_for_the_whole_page(client, visit, two_an_hour):
    answers = [call_off(client, visit, LEADS_AWAY, HX_Request="true") for _ in range(3)]
    assert answers[-1]["HX-Retarget"] == "body"
