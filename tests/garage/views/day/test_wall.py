"""The wall: by log-in, by its secret address, as a page and as the part that comes anew."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from garage.core import states
from garage.models.visits import Step
from garage.reads.secret_links import feed_token, wall_token
from garage.reads.shop import the_shop
from tests.factories import garage as make

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture
def boss():
    make.shop()
    return make.boss(first_name="Robin")


def address():
    return reverse("wall-by-link", args=[wall_token(the_shop())])


def test_it_is_opened_by_its_address_without_a_log_in_and_by_whoever_is_logged_in(client, boss):
    for path in (address(), reverse("wall")):
        client.logout()
        if path == reverse("wall"):
            assert client.get(path).status_code == 302
            client.force_login(boss)
        answer = client.get(path)
        assert answer.status_code == 200
        assert "as of" in answer.text
        assert answer.text.count("<svg") == 1


def test_its_address_is_kept_secret(client, boss):
    answer = client.get(address())
    assert (answer["Referrer-Policy"], answer["X-Robots-Tag"]) == ("no-referrer", "noindex")
    assert "no-store" in answer["Cache-Control"]
    assert "sessionid" not in answer.cookies


def test_without_a_script_the_browser_loads_it_anew(client, boss):
    answer = client.get(address())
    assert answer["Refresh"] == "60"
    assert "every 60s" not in answer.text
    assert "http-equiv" not in answer.text


def test_with_a_script_it_goes_on_to_the_page_whose_part_comes_anew_and_never_both(client, boss):
    assert f'hx-get="{address()}" hx-trigger="load"' in client.get(address()).text
    onwards = client.get(address(), headers=HTMX)
    assert onwards["HX-Redirect"] == f"{address()}?live"
    assert "Refresh" not in onwards
    live = client.get(f"{address()}?live")
    assert f'hx-get="{address()}?live" hx-trigger="every 60s"' in live.text
    assert "Refresh" not in live
    part = client.get(f"{address()}?live", headers=HTMX)
    assert part.text.strip().startswith('<div id="wall"')
    assert 'hx-trigger="every 60s"' in part.text
    assert "HX-Request" in part["Vary"]
    assert "Refresh" not in part


def test_it_can_say_since_when_it_has_no_news(client, boss):
    text = client.get(f"{address()}?live", headers=HTMX).text
    as_of = re.search(r"as of <b>(\d\d:\d\d)</b>", text)[1]
    assert f'data-away hidden role="alert">No news since {as_of}:' in text


def test_nothing_on_it_can_be_pressed_and_no_menu_is_on_it(client, boss):
    client.force_login(boss)
    make.visit(state=states.HERE)
    for path in (address(), reverse("wall")):
        page = client.get(path).text.partition("<main")[2]
        assert re.findall(r"<(?:form|button|input|select|textarea)\b", page) == []
        assert "<a " not in page
        assert "Robin" not in client.get(path).text


def test_an_unknown_address_answers_like_every_dead_link(client, boss):
    for dead in ("1-1.forged", feed_token(boss)):
        for method in ("GET", "POST"):
            answer = client.generic(method, reverse("wall-by-link", args=[dead]))
            assert (answer.status_code, "This link has run out" in answer.text) == (410, True)
    assert client.post(address()).status_code == 405


def test_the_boss_changes_its_address(client, boss):
    client.force_login(boss)
    before = address()
    assert before in client.get(reverse("shop-stations")).text
    answer = client.post(reverse("shop-wall"), follow=True)
    assert "The wall has a new address." in answer.text
    assert (before in answer.text, address() in answer.text) == (False, True)
    assert (Client().get(before).status_code, Client().get(address()).status_code) == (410, 200)
    client.force_login(make.person())
    assert client.post(reverse("shop-wall")).status_code == 403


def test_todays_sheet_leads_to_it_and_no_other_days_does(client, boss):
    client.force_login(boss)
    link = f'href="{reverse("wall")}"'
    assert link in client.get(reverse("day-sheet")).text
    assert link not in client.get(reverse("day-sheet-on", args=["2030-01-02"])).text


def test_a_step_under_way_is_on_it(client, boss):
    visit = make.visit(state=states.HERE)
    Step.objects.create(visit=visit, index=0, at="bench", minutes=10, what="gate", is_check=True)
    assert f"{visit.number} Corrick 185" in client.get(address()).text
