"""The door that asks for the password again, at everything that stands behind it."""

import re
from datetime import timedelta
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from garage.changes.people import log_ins
from garage.models.people import Person
from garage.models.sessions import BEGAN, PROVED
from garage.models.shop import Shop
from garage.models.trail import TrailRow
from garage.views.doors import FRESH_FOR, LIVES_FOR
from tests.factories import garage as make
from tests.rules.roles import ASK_ANEW
from tests.rules.test_roles import ADDRESSES

pytestmark = pytest.mark.django_db
PASSWORD = "ambleford-lane-7"
AGAIN = "password_again"


@pytest.fixture
def boss():
    make.shop()
    return make.boss(username="jo", first_name="Jo", password=PASSWORD)


def browser(person, ago=FRESH_FOR):
    found = Client()
    found.force_login(person)
    proved(found, timezone.now() - ago)
    return found


def proved(client, at):
    session = client.session
    session[PROVED] = at.isoformat()
    session.save()


def kept_on(page):
    """What the page sends again besides the password."""
    tags = re.findall(r'<input type="hidden"[^>]*>', page)
    pairs = [re.search(r'name="(.*?)" value="(.*?)"', tag, re.S).groups() for tag in tags]
    return [(unescape(name), unescape(value)) for name, value in pairs if name != "csrfmiddlewaretoken"]


NEW = {
    "username": "robin",
    "first_name": "Robin <3",
    "last_name": "Vale",
    "role": "mechanic",
    "password": "lane-of-9-stones",
}


@pytest.mark.parametrize("name", ASK_ANEW)
def test_each_asks_when_the_password_was_given_long_ago_and_not_right_after(name, boss):
    late, soon = browser(boss), browser(boss, FRESH_FOR - timedelta(minutes=1))
    asked = late.post(ADDRESSES[name])
    assert (asked.status_code, AGAIN in asked.text) == (403, True)
    assert AGAIN not in soon.post(ADDRESSES[name]).text
    assert late.get(ADDRESSES[name]).status_code != 403


def test_a_log_in_from_before_this_was_kept_is_asked_too(boss):
    old = browser(boss)
    session = old.session
    del session[PROVED]
    session.save()
    assert old.post(reverse("shop-people"), NEW).status_code == 403


def test_what_was_typed_is_kept_and_done_with_the_right_password(boss):
    late = browser(boss)
    page = late.post(reverse("shop-people"), NEW | {"does_bench": "on"})
    assert not Person.objects.filter(username="robin").exists()
    assert dict(kept_on(page.text)) == NEW | {"does_bench": "on"}
    assert f'action="{reverse("shop-people")}"' in page.text
    done = late.post(reverse("shop-people"), dict(kept_on(page.text)) | {AGAIN: PASSWORD})
    assert done["Location"] == reverse("shop-person", args=[Person.objects.get(username="robin").pk])
    assert late.post(reverse("shop-wall"))["Location"] == reverse("shop-stations")  # and not asked again


def test_what_was_typed_several_times_under_one_name_is_all_kept(boss):
    page = browser(boss).post(reverse("shop-hours"), {"day": ["0", "1"], "x": ""})
    assert kept_on(page.text) == [("day", "0"), ("day", "1"), ("x", "")]


def test_a_form_that_is_refused_after_the_password_keeps_what_was_typed(boss):
    late = browser(boss)
    answer = late.post(reverse("shop-people"), NEW | {"password": "short", AGAIN: PASSWORD})
    assert answer.status_code == 422
    assert 'value="Robin &lt;3"' in answer.text


def test_a_wrong_password_changes_nothing_and_keeps_all(boss):
    late = browser(boss)
    page = late.post(reverse("shop-people"), NEW | {AGAIN: "wrong"})
    assert (page.status_code, "belong together" in page.text) == (422, True)
    assert dict(kept_on(page.text)) == NEW
    assert 'value="wrong"' not in page.text
    assert not Person.objects.filter(username="robin").exists()
    assert TrailRow.objects.filter(did__startswith="gave a wrong password").exists()


def test_it_cannot_be_guessed_there(boss):
    late = browser(boss)
    for _ in range(log_ins.MOST_WRONG_FOR_A_NAME):
        late.post(reverse("shop-wall"), {AGAIN: "wrong"})
    before = Shop.objects.get().wall_generation
    assert late.post(reverse("shop-wall"), {AGAIN: PASSWORD}).status_code == 429
    assert Shop.objects.get().wall_generation == before


def test_whoever_logs_in_or_changes_their_password_has_just_given_it(boss):
    client = Client()
    client.post(reverse("log-in"), {"name": "jo", "password": PASSWORD})
    assert client.post(reverse("shop-wall")).status_code == 302
    proved(client, timezone.now() - FRESH_FOR)
    new = "lane-of-quarries-8"
    client.post(reverse("account"), {"old": PASSWORD, "new": new, "again": new})
    assert client.post(reverse("shop-wall")).status_code == 302


@pytest.mark.parametrize(("since", "opens"), [(LIVES_FOR - timedelta(minutes=1), True), (LIVES_FOR, False)])
def test_a_log_in_ends_a_month_after_it_began_however_often_it_is_used(boss, since, opens):
    client = Client()
    client.post(reverse("log-in"), {"name": "jo", "password": PASSWORD})
    session = client.session
    session[BEGAN] = (timezone.now() - since).isoformat()
    session.save()
    answer = client.get(reverse("owners"))
    assert (answer.status_code == 200) is opens
    assert ("_auth_user_id" in client.session) is opens
    assert opens or answer["Location"] == f"{reverse('log-in')}?next={reverse('owners')}"


def test_whoever_may_not_do_it_is_refused_without_being_asked(boss):
    late = browser(make.person())
    answer = late.post(reverse("shop-wall"))
    assert (answer.status_code, AGAIN in answer.text) == (403, False)


def test_who_is_refused_leaves_one_line_in_the_log_and_no_traceback(boss, caplog):
    browser(make.person()).post(reverse("shop-wall"))
    assert [(record.message, record.exc_info) for record in caplog.records] == [("Forbidden: /shop/wall/", None)]
