"""One's own password, the list of one's log-ins, and what the trail keeps of the log-in."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from garage.changes.people import log_ins
from garage.models.people import Person
from garage.models.sessions import SEEN, BrowserSession
from garage.models.trail import TrailRow
from garage.reads.log_ins import logged_in
from tests.factories import garage as make

pytestmark = pytest.mark.django_db
OLD, NEW = "ambleford-lane-7", "lane-of-quarries-8"
FIREFOX = "Mozilla/5.0 (X11; Linux x86_64; rv:128.0) Gecko/20100101 Firefox/128.0"
IPHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) Version/17.5 Safari/604.1"


@pytest.fixture
def person():
    make.shop()
    return make.person(username="robin", first_name="Robin", password=OLD)


def browser(user_agent=FIREFOX, **given):
    found = Client(headers={"User-Agent": user_agent})
    found.post(reverse("log-in"), {"name": "robin", "password": OLD} | given)
    return found


def is_in(client):
    return client.get(reverse("account")).status_code == 200


def change(client, **given):
    return client.post(reverse("account"), {"old": OLD, "new": NEW, "again": NEW} | given)


def trail():
    return [(row.by_words, row.did) for row in TrailRow.objects.order_by("id")]


def test_a_new_password_counts_here_and_ends_every_other_log_in(person):
    here, elsewhere = browser(), browser(IPHONE)
    assert change(here)["Location"] == reverse("account")
    page = here.get(reverse("account")).text
    assert "Every other log-in of yours has ended" in page
    assert "Safari on an iPhone" not in page.partition("What happened at the log-in")[0]
    assert not is_in(elsewhere)
    assert is_in(browser(password=NEW))
    assert ("Robin", "changed their own password") in trail()


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"old": "wrong"}, "belong together"),
        ({"again": "something-else-9"}, "not the same"),
        ({"new": "password", "again": "password"}, "not a common one, and not like the name"),
        ({"new": "short", "again": "short"}, "eight characters or more"),
        ({"new": "", "again": ""}, "This field is required."),
    ],
)
def test_a_password_that_cannot_be_changed_is_one_sentence_and_the_old_one_stays(person, given, said):
    here = browser()
    answer = change(here, **given)
    assert (answer.status_code, said in answer.text) == (422, True)
    person.refresh_from_db()
    assert person.check_password(OLD)
    assert is_in(here)


def test_the_old_password_cannot_be_guessed_at_a_phone_left_lying_about(person):
    here = browser()
    for _ in range(log_ins.MOST_WRONG_FOR_A_NAME):
        change(here, old="wrong")
    assert change(here).status_code == 429


def test_the_log_ins_are_listed_with_a_plain_word_and_ended_one_by_one(person):
    here, elsewhere = browser(), browser(IPHONE)
    page = here.get(reverse("account")).text
    assert "<b>Firefox on Linux</b>, this one" in page
    assert "<b>Safari on an iPhone</b>" in page
    assert elsewhere.session.session_key not in page
    end = page.partition("/account/log-ins/")[2].partition("/")[0]
    answer = here.post(reverse("log-in-end", args=[end]), follow=True)
    assert "Ended: Safari on an iPhone has to log in again." in answer.text
    assert (is_in(here), is_in(elsewhere)) == (True, False)
    assert trail()[-1] == ("Robin", "ended the log-in of Robin with Safari on an iPhone")
    assert here.post(reverse("log-in-end", args=[end])).status_code == 404


def test_all_but_this_one_are_ended_at_once(person):
    here, others = browser(), [browser(), browser(IPHONE)]
    here.post(reverse("log-ins-end"))
    assert (is_in(here), [is_in(other) for other in others]) == (True, [False, False])


def test_nobody_sees_or_ends_the_log_ins_of_another(person):
    make.person(username="sam", password=OLD)
    theirs, mine = browser(name="sam"), browser(IPHONE)
    page = theirs.get(reverse("account")).text
    assert "iPhone" not in page
    end = mine.get(reverse("account")).text
    theirs.post(reverse("log-ins-end"))
    assert is_in(mine)
    browser(FIREFOX)
    end = mine.get(reverse("account")).text.partition("/account/log-ins/")[2].partition("/")[0]
    assert theirs.post(reverse("log-in-end", args=[end])).status_code == 404


def test_the_boss_ends_the_log_ins_of_a_person_whose_phone_was_lost(person):
    lost, boss = browser(IPHONE), Client()
    boss.force_login(make.boss(first_name="Jo"))
    assert "Safari on an iPhone" in boss.get(reverse("shop-person", args=[person.pk])).text
    boss.post(reverse("shop-person-log-ins", args=[person.pk]))
    assert not is_in(lost)
    assert trail()[-1] == ("Jo", "ended every log-in of Robin")
    assert is_in(boss)


def test_last_seen_moves_on_but_is_not_written_with_every_page(person, django_assert_max_num_queries):
    here = browser()
    session = here.session
    began = session[SEEN]
    here.get(reverse("account"))
    assert here.session[SEEN] == began
    session[SEEN] = (timezone.now() - timedelta(minutes=11)).isoformat()
    session.save()
    here.get(reverse("account"))
    assert here.session[SEEN] > began


def test_a_session_knows_whose_it_is_and_one_that_has_run_out_is_swept(person):
    browser()
    session = BrowserSession.objects.get()
    assert session.person == person
    log_ins.sweep(now=timezone.now())
    assert BrowserSession.objects.exists()
    log_ins.sweep(now=session.expire_date + timedelta(seconds=1))
    assert not BrowserSession.objects.exists()


def test_the_trail_keeps_log_ins_failures_refusals_and_log_outs_but_no_password(person):
    here = browser()
    here.get(reverse("shop"))
    here.get(reverse("shop"))
    here.post(reverse("log-out"))
    browser(password="secret-typed-wrong")
    browser(name="secret-typed-as-name")
    for _ in range(log_ins.MOST_WRONG_FOR_A_NAME + 2):
        browser(password="wrong")
    stranger = "somebody at the log-in page"
    assert trail()[:5] == [
        ("Robin", "logged in with Firefox on Linux"),
        ("Robin", "was refused /shop/"),
        ("Robin", "logged out"),
        (stranger, "gave a wrong password, for Robin, with Firefox on Linux"),
        (stranger, "gave a wrong password, for a name that nobody has, with Firefox on Linux"),
    ]
    shut = [did for _, did in trail() if "shut out" in did]
    assert shut == ["was shut out for a quarter of an hour: too many wrong passwords, for Robin, with Firefox on Linux"]
    assert "secret" not in str(trail())


def test_the_boss_reads_what_happened_at_the_log_in(client, person):
    browser(password="wrong")
    browser(name="nobody")
    client.force_login(make.boss())
    assert "gave a wrong password, for Robin" in client.get(reverse("shop-person", args=[person.pk])).text
    page = client.get(reverse("shop-people")).text
    assert "for a name that nobody has" in page
    assert "gave a wrong password" not in client.get(reverse("shop")).text


def test_the_log_in_page_says_how_a_boss_gets_in_who_forgot_the_password(client, person):
    assert "manage.py new_password" in client.get(reverse("log-in")).text


def test_a_log_in_from_before_the_list_is_listed_and_can_be_ended(client, person):
    client.force_login(Person.objects.get())
    here = browser()
    assert "from before it was noted when" in here.get(reverse("account")).text
    here.post(reverse("log-ins-end"))
    assert not is_in(client)


def test_a_log_in_stays_and_is_still_listed_after_a_change_of_the_key(person, settings):
    first, second = browser(), browser(IPHONE)
    settings.SECRET_KEY, settings.SECRET_KEY_FALLBACKS = "another", [settings.SECRET_KEY]
    assert is_in(first)
    assert len(log_ins_of(person)) == 2  # the second has not asked for a page since
    assert is_in(second)
    assert len(log_ins_of(person)) == 2


def test_a_log_in_of_a_key_that_is_forgotten_ends(person, settings):
    client = browser()
    settings.SECRET_KEY = "another"
    assert not is_in(client)
    assert log_ins_of(person) == []


def test_a_log_in_that_was_used_since_the_change_goes_on_when_the_old_key_is_forgotten(person, settings):
    client = browser()
    settings.SECRET_KEY, settings.SECRET_KEY_FALLBACKS = "another", [settings.SECRET_KEY]
    assert is_in(client)
    settings.SECRET_KEY_FALLBACKS = []
    assert is_in(client)


def log_ins_of(person):
    return logged_in(person, this_key=None, now=timezone.now())
