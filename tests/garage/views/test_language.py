"""Which language a page is in, how it is chosen, and what stays English."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.core.text.languages import LANGUAGES
from garage.models.trail import TrailRow
from garage.reads import links
from tests.factories import garage

pytestmark = pytest.mark.django_db


def test_a_public_page_is_in_what_the_browser_asks_for_and_caches_are_told(client, kind):
    answer = client.get("/", headers={"accept-language": "fr, de-AT;q=0.8, en;q=0.5"})
    assert '<html lang="de">' in answer.text
    assert {"Accept-Language", "Cookie"} <= {each.strip() for each in answer["Vary"].split(",")}
    assert '<html lang="en-GB">' in client.get("/", headers={"accept-language": "fr"}).text


def test_what_is_chosen_in_the_foot_is_kept_in_the_browser(client, kind):
    page = client.get("/").text
    assert all(f">{own_name}</button>" in page for own_name in LANGUAGES.values())
    answer = client.post(reverse("language"), {"language": "it", "back": "/guides/"})
    assert (answer.status_code, answer["Location"]) == (302, "/guides/")
    assert '<html lang="it">' in client.get("/", headers={"accept-language": "de"}).text


@pytest.mark.parametrize("back", ["https://example.org/", "//example.org/", "", "javascript:alert(1)"])
def test_it_leads_nowhere_else(client, kind, back):
    assert client.post(reverse("language"), {"language": "it", "back": back})["Location"] == "/"


def test_an_unknown_language_changes_nothing(client, kind):
    answer = client.post(reverse("language"), {"language": "xx", "back": "/"})
    assert answer.status_code == 302
    assert "language" not in answer.cookies


def test_a_page_behind_a_link_is_in_its_owners_language_and_choosing_there_is_kept_with_the_owner(client, visit):
    page = reverse("owner-visit", args=[links.token(visit, links.VISIT)])
    assert '<html lang="en-GB">' in client.get(page, headers={"accept-language": "de"}).text
    client.post(reverse("language"), {"language": "de", "back": page})
    visit.owner.refresh_from_db()
    assert visit.owner.language == "de"
    assert TrailRow.objects.get(about=f"owner {visit.owner_id}").did == "speaks Deutsch"
    client.cookies.clear()
    assert '<html lang="de">' in client.get(page).text


def test_a_dead_link_changes_no_owner(client, visit):
    page = reverse("owner-visit", args=[links.token(visit, links.VISIT) + "x"])
    client.post(reverse("language"), {"language": "de", "back": page})
    visit.owner.refresh_from_db()
    assert visit.owner.language == "en"


def test_the_workshop_reads_english_whatever_the_browser_asks_for(client, kind):
    client.force_login(garage.front_desk())
    for path in ("/day/", "/", "/guides/"):
        assert '<html lang="en-GB">' in client.get(path, headers={"accept-language": "de"}).text


def test_what_an_owner_does_in_german_stands_in_the_trail_in_english(client, visit):
    visit.owner.language = "de"
    visit.owner.save()
    page = reverse("owner-call-off", args=[links.token(visit, links.VISIT)])
    client.post(page, {"why": ""})
    row = TrailRow.objects.filter(visit=visit).latest("pk")
    assert row.did.startswith("called off")
    assert timezone.localtime(visit.starts_at).strftime("%A") in row.did
