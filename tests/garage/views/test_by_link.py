import pytest
from django.urls import reverse

from garage.reads import links
from tests.factories import garage as make

pytestmark = pytest.mark.django_db
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
