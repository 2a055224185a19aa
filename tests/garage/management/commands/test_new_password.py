from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from garage.changes.people import log_ins
from garage.models.trail import TrailRow
from tests.factories import garage as make

pytestmark = pytest.mark.django_db
NEW = "lane-of-quarries-8"


@pytest.fixture
def boss():
    make.shop()
    return make.boss(username="jo", first_name="Jo")


@pytest.fixture
def typed(monkeypatch):
    """What is typed at the machine, one after the other."""

    def types(*words):
        left = iter(words)
        monkeypatch.setattr("getpass.getpass", lambda _prompt: next(left))

    types(NEW, NEW)
    return types


def logs_in(name="jo", password=NEW):
    return Client().post(reverse("log-in"), {"name": name, "password": password}).status_code == 302


def test_a_boss_who_forgot_the_password_gets_in_by_one_command_even_after_too_many_tries(boss, typed):
    for _ in range(log_ins.MOST_WRONG_FOR_A_NAME + 1):
        assert not logs_in()
    said = StringIO()
    call_command("new_password", stdout=said)
    assert 'Log in as "jo"' in said.getvalue()
    assert logs_in()
    row = TrailRow.objects.get(about=f"person {boss.pk}")
    assert (row.by_words, row.did) == (
        "Tickover itself",
        "gave Jo a new password, by the command on the machine itself",
    )


def test_another_person_is_named(boss, typed):
    make.person(username="sam")
    call_command("new_password", "sam", stdout=StringIO())
    assert (logs_in("sam"), logs_in()) == (True, False)


@pytest.mark.parametrize(
    ("arguments", "words", "said"),
    [
        ([], [NEW, "another-one-9"], "not the same"),
        (
            [],
            ["password", "password"],
            "not a common one, and not like the name",
        ),
        (["nobody"], [], "Nobody has the log-in name 'nobody'. The boss logs in as: jo."),
    ],
)
def test_what_cannot_be_used_is_one_sentence_and_nothing_is_changed(boss, typed, arguments, words, said):
    typed(*words)
    with pytest.raises(CommandError, match=said):
        call_command("new_password", *arguments)
    assert not logs_in()


def test_of_several_bosses_one_has_to_be_named(boss, typed):
    make.boss(username="kim")
    with pytest.raises(CommandError, match="There are several"):
        call_command("new_password")


def test_somebody_who_left_gets_none(boss, typed):
    make.person(username="sam", is_active=False)
    with pytest.raises(CommandError, match="no longer works here"):
        call_command("new_password", "sam")


def test_a_garage_without_a_boss_is_told_to_begin(typed):
    with pytest.raises(CommandError, match="set up the garage"):
        call_command("new_password")


def test_breaking_off_changes_nothing(boss, monkeypatch):
    def broken_off(_prompt):
        raise KeyboardInterrupt

    monkeypatch.setattr("getpass.getpass", broken_off)
    with pytest.raises(CommandError, match="Nothing was changed"):
        call_command("new_password")
