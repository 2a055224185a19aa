"""Setting up a second factor and logging in with it, on the pages."""

import re

import pyotp
import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from garage.core.letting_in.one_time_codes import STEP_S
from garage.models.people import Person
from garage.models.second_factor import SecondFactor
from garage.models.sessions import AWAITED, PROVED, SECOND
from garage.views.coming_in import AWAITED_FOR
from garage.views.doors import FRESH_FOR
from tests.factories import garage as make

pytestmark = pytest.mark.django_db
PASSWORD = "ambleford-lane-7"
PAGE, CODE = reverse("second-factor"), reverse("log-in-code")


@pytest.fixture
def outside(settings):
    settings.REACHABLE_FROM_OUTSIDE = True


@pytest.fixture
def boss():
    make.shop()
    return make.boss(username="jo", first_name="Jo", password=PASSWORD)


def browser(person):
    found = Client()
    found.post(reverse("log-in"), {"name": person.username, "password": PASSWORD, "next": reverse("owners")})
    return found


def on(page):
    """The secret in words and what the form carries."""
    secret = re.search(r'<code class="words">(.*?)</code>', page)[1].replace(" ", "")
    return secret, re.search(r'name="sealed" value="(.*?)"', page)[1]


def code(secret, steps=0):
    return pyotp.TOTP(secret).generate_otp(int(timezone.now().timestamp() // STEP_S) + steps)


def sets_up(client):
    """The secret, and the spare codes."""
    secret, sealed = on(client.get(PAGE).text)
    page = client.post(PAGE, {"sealed": sealed, "code": code(secret)})
    assert page.status_code == 200
    return secret, re.findall(r"<li><code>(.*?)</code>", page.text)


def is_in(client):
    return client.get(reverse("account")).status_code == 200


@pytest.mark.parametrize("role", [Person.BOSS, Person.FRONT_DESK])
def test_where_it_can_be_reached_from_outside_boss_and_desk_set_it_up_before_anything_else(role, boss, outside):
    person = boss if role == Person.BOSS else make.front_desk(username="robin", password=PASSWORD)
    here = browser(person)
    for name in ("day-sheet", "owners", "account", "the-book"):
        assert here.get(reverse(name))["Location"] == PAGE
    assert "can be reached from outside" in here.get(PAGE).text
    sets_up(here)
    assert is_in(here)


def test_a_mechanic_and_a_garage_on_its_own_go_on_without(boss, settings):
    assert is_in(browser(boss))
    settings.REACHABLE_FROM_OUTSIDE = True
    assert is_in(browser(make.person(username="sam", password=PASSWORD)))


def test_after_the_password_only_the_code_opens_and_leads_to_the_page_asked_for(boss):
    secret, _ = sets_up(browser(boss))
    here = Client()
    asked = here.post(reverse("log-in"), {"name": "jo", "password": PASSWORD, "next": reverse("owners")})
    assert asked["Location"] == CODE
    assert not is_in(here)
    page = here.get(CODE).text
    assert 'autocomplete="one-time-code"' in page
    assert here.post(CODE, {"code": code(secret, 1)})["Location"] == reverse("owners")
    assert is_in(here)
    assert AWAITED not in here.session


def test_a_wrong_code_is_one_sentence_and_opens_nothing(boss):
    sets_up(browser(boss))
    here = browser(boss)
    answer = here.post(CODE, {"code": "12345x"})
    assert (answer.status_code, "That code is not right" in answer.text) == (422, True)
    assert 'value="12345x"' in answer.text
    assert here.post(CODE, {"code": ""}).status_code == 422
    assert not is_in(here)


def test_codes_cannot_be_guessed(boss):
    secret, _ = sets_up(browser(boss))
    here = browser(boss)
    for _ in range(5):
        here.post(CODE, {"code": "000000"})
    assert here.post(CODE, {"code": code(secret, 1)}).status_code == 429


def test_a_spare_code_lets_in_and_the_page_says_how_many_are_left(boss):
    _, spares = sets_up(browser(boss))
    here = browser(boss)
    assert "7 spare codes are left." in here.post(CODE, {"code": spares[2]}, follow=True).text
    assert browser(boss).post(CODE, {"code": spares[2]}).status_code == 422


def test_the_code_is_awaited_for_some_minutes_and_no_longer_than_the_password_is_the_same(boss):
    secret, _ = sets_up(browser(boss))
    late, changed = browser(boss), browser(boss)
    session = late.session
    session[AWAITED] |= {"at": (timezone.now() - AWAITED_FOR).isoformat()}
    session.save()
    assert late.post(CODE, {"code": code(secret, 1)})["Location"] == reverse("log-in")
    boss.set_password("another-lane-9")
    boss.save()
    assert changed.post(CODE, {"code": code(secret, 1)})["Location"] == reverse("log-in")
    assert Client().get(CODE)["Location"] == reverse("log-in")


def test_whoever_was_logged_in_with_this_browser_is_not_any_more_while_a_code_is_awaited(boss):
    sets_up(browser(boss))
    here = Client()
    here.force_login(make.person())
    here.post(reverse("log-in"), {"name": "jo", "password": PASSWORD})
    assert not is_in(here)


def test_the_secret_is_shown_until_it_is_set_up_and_never_again(boss):
    here = browser(boss)
    secret, spares = sets_up(here)
    later = here.get(PAGE).text
    assert "8 are left" in later
    assert secret not in later.replace(" ", "")
    assert not [spare for spare in spares if spare in later]


def test_a_wrong_code_keeps_the_picture_and_a_page_left_open_too_long_gets_a_new_one(boss):
    here = browser(boss)
    secret, sealed = on(here.get(PAGE).text)
    wrong = here.post(PAGE, {"sealed": sealed, "code": "000000"})
    assert (wrong.status_code, on(wrong.text)[0]) == (422, secret)
    for sent in ("", "forged", sealed[:-2] + "xx"):
        old = here.post(PAGE, {"sealed": sent, "code": code(secret)})
        assert "open for too long" in old.text
        assert on(old.text)[0] != secret
    assert not SecondFactor.objects.exists()


def test_what_was_sealed_for_one_person_sets_nothing_up_for_another(boss):
    secret, sealed = on(browser(boss).get(PAGE).text)
    other = browser(make.person(username="sam", password=PASSWORD))
    assert "open for too long" in other.post(PAGE, {"sealed": sealed, "code": code(secret)}).text
    assert not SecondFactor.objects.exists()


def test_setting_it_up_asks_for_the_password_again_and_ends_every_other_log_in(boss):
    here, elsewhere = browser(boss), browser(boss)
    session = here.session
    session[PROVED] = (timezone.now() - FRESH_FOR).isoformat()
    session.save()
    secret, sealed = on(here.get(PAGE).text)
    sent = {"sealed": sealed, "code": code(secret)}
    assert here.post(PAGE, sent).status_code == 403
    assert here.post(PAGE, sent | {"password_again": PASSWORD}).status_code == 200
    assert (is_in(here), is_in(elsewhere)) == (True, False)


def test_a_log_in_from_before_it_was_asked_for_has_to_come_in_anew(boss, settings):
    here = browser(boss)
    sets_up(here)
    session = here.session
    del session[SECOND]
    session.save()
    assert is_in(here)
    settings.REACHABLE_FROM_OUTSIDE = True
    assert here.get(reverse("owners"), follow=True).redirect_chain[-1][0] == reverse("log-in")


def test_the_picture_is_lines_alone(boss):
    drawn = re.search(r"<svg.*?</svg>", browser(boss).get(PAGE).text, re.S)[0]
    assert "style" not in drawn
    assert set(re.findall(r"<(\w+)", drawn)) <= {"svg", "g", "path"}


def test_at_the_machine_a_lost_one_is_forgotten(boss, capsys):
    sets_up(browser(boss))
    call_command("forget_second_factor")
    assert "Jo logs in with the password alone" in capsys.readouterr().out
    assert is_in(browser(boss))
    with pytest.raises(CommandError, match="has no second factor"):
        call_command("forget_second_factor", "jo")
    with pytest.raises(CommandError, match="Nobody has the log-in name"):
        call_command("forget_second_factor", "sam")


def test_a_new_garage_that_is_reached_from_outside_goes_on_setting_up_after_it(outside):
    make.shop(is_open=False)
    here = browser(make.boss(username="jo", password=PASSWORD))
    sets_up(here)
    assert "Setting up" in here.get(reverse("front"), follow=True).text
