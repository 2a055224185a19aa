from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone

from garage.core import states
from garage.reads import access, links
from tests.factories import garage as make
from tests.factories.addresses import personal_address

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)


@pytest.fixture
def visit():
    return make.visit()


def test_a_token_says_which_visit_and_generation_it_is_for(visit):
    assert links.read_token(links.token(visit, "sheet"), "sheet") == (visit.pk, visit.link_generation)


def test_a_token_is_short_enough_for_a_mail_line_and_a_small_picture(visit):
    visit.pk, visit.link_generation = 99_999, 999_999
    assert len(personal_address(visit, "sheet")) < 90


def test_a_link_of_a_visit_that_is_gone_does_not_open_the_next_one_with_its_id(visit):
    """As after a backup was put back: ids are given out again from where it was made."""
    token, was = links.token(visit, "visit"), visit.pk
    visit.delete()
    again = make.visit(id=was)
    assert access.visit_by_link(token, "visit", now=timezone.now()) is None
    assert access.visit_by_link(links.token(again, "visit"), "visit", now=timezone.now()) == again


def test_a_token_is_good_for_its_own_purpose_only(visit):
    assert links.read_token(links.token(visit, "sheet"), "visit") is None


@pytest.mark.parametrize(
    "spoil", [lambda t: t[:-1], lambda t: "9" + t, lambda t: t.replace("-", "-1", 1), lambda _: "x"]
)
def test_a_changed_token_is_not_ours(visit, spoil):
    token = links.token(visit, "sheet")
    assert spoil(token) != token
    assert links.read_token(spoil(token), "sheet") is None


def test_another_secret_signs_other_tokens(visit, settings):
    token = links.token(visit, "sheet")
    settings.SECRET_KEY = "another"
    assert links.read_token(token, "sheet") is None


def test_an_old_link_opens_after_a_change_of_the_key_until_the_old_one_is_forgotten(visit, settings):
    token, before = links.token(visit, "visit"), settings.SECRET_KEY
    settings.SECRET_KEY, settings.SECRET_KEY_FALLBACKS = "another", ["one between", before]
    assert access.visit_by_link(token, "visit", now=timezone.now()) == visit
    assert links.token(visit, "visit") != token
    settings.SECRET_KEY_FALLBACKS = ["one between"]
    assert access.visit_by_link(token, "visit", now=timezone.now()) is None


def test_the_door_opens_for_the_visits_own_link_and_shuts_when_the_generation_is_raised(visit):
    token = links.token(visit, "visit")
    assert access.visit_by_link(token, "visit", now=timezone.now()) == visit
    visit.link_generation += 1
    visit.save()
    assert access.visit_by_link(token, "visit", now=timezone.now()) is None
    assert access.visit_by_link(links.token(visit, "visit"), "visit", now=timezone.now()) == visit


@pytest.mark.parametrize("state", sorted(states.COMING))
def test_the_sheets_link_lives_while_the_machine_is_coming(visit, state):
    visit.state = state
    assert links.lives(visit, "sheet", NOW)


@pytest.mark.parametrize("state", sorted(states.WORDS.keys() - states.COMING))
def test_the_sheets_link_is_dead_once_the_machine_is_here_or_will_not_come(visit, state):
    visit.state = state
    assert not links.lives(visit, "sheet", NOW)


def test_the_sheets_link_stays_dead_when_a_machine_that_was_here_waits_for_a_new_time(visit):
    visit.arrived_at, visit.state = NOW, states.TO_PUT_RIGHT
    assert not links.lives(visit, "sheet", NOW)


@pytest.mark.parametrize("ended", ["collected_at", "called_off_at"])
def test_the_visits_link_lives_twelve_months_after_its_end(visit, ended):
    assert links.lives(visit, "visit", NOW)
    setattr(visit, ended, NOW - timedelta(days=365) + timedelta(minutes=1))
    assert links.lives(visit, "visit", NOW)
    setattr(visit, ended, NOW - timedelta(days=365))
    assert not links.lives(visit, "visit", NOW)


@pytest.mark.parametrize("heard", ["booked_at", "starts_at", "arrived_at", "links_anew_at"])
def test_the_links_of_a_visit_that_never_ended_run_out_a_year_after_the_last_that_was_heard(visit, heard):
    long_ago = NOW - timedelta(days=800)
    visit.state, visit.booked_at, visit.starts_at = states.BOOKED, long_ago, long_ago
    setattr(visit, heard, NOW - links.LIVES_WITHOUT_AN_END + timedelta(minutes=1))
    assert links.lives(visit, "visit", NOW)
    assert links.lives(visit, "sheet", NOW) == (heard != "arrived_at")
    setattr(visit, heard, NOW - links.LIVES_WITHOUT_AN_END)
    assert [links.lives(visit, purpose, NOW) for purpose in links.PURPOSES] == [False, False]
    assert links.lives(visit, links.REMINDERS, NOW)


def test_a_machine_that_did_not_come_has_no_link_for_good(visit):
    visit.state, visit.booked_at, visit.starts_at = states.DID_NOT_COME, NOW - timedelta(days=400), None
    assert not links.lives(visit, "visit", NOW)


def test_whose_dead_link_it_was_is_known_for_either_purpose(visit):
    tokens = [links.token(visit, purpose) for purpose in links.PURPOSES]
    visit.link_generation += 5
    visit.save()
    assert [links.visit_of_any(token) for token in tokens] == [visit, visit]
    assert links.visit_of_any("1-1.forged") is None
