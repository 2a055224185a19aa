import pytest
from django.core.management import CommandError, call_command

from garage.running import keys, running_lock
from tests.kept_garage import KeptGarage


@pytest.fixture
def data(settings, tmp_path):
    settings.DATA, settings.KEY_IS_GIVEN = tmp_path, False
    keys.write_keys(tmp_path, ["first"])
    return tmp_path


def test_a_new_key_is_in_force_and_the_earlier_ones_still_count(data):
    for number in (2, 3):
        call_command("new_key")
        assert len(keys.kept_keys(data)) == number
    assert keys.kept_keys(data)[2] == "first"


def test_the_settings_take_the_first_to_sign_and_the_others_to_open(data):
    call_command("new_key")
    said = KeptGarage(data).shell(
        "from django.conf import settings; print(settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)",
        SECRET_KEY_FALLBACKS="of-another-garage",
    )
    assert said.split() == [*keys.kept_keys(data), "of-another-garage"]


def test_forgetting_keeps_the_key_in_force_alone(data):
    call_command("new_key")
    in_force, _ = keys.kept_keys(data)
    call_command("new_key", "--forget-old")
    assert keys.kept_keys(data) == [in_force]


def test_it_is_refused_while_the_garage_runs_since_it_would_go_on_signing_with_the_old_one(data):
    with running_lock.held_meanwhile(data, says="here"), pytest.raises(CommandError, match="already running"):
        call_command("new_key")
    assert keys.kept_keys(data) == ["first"]


def test_a_key_that_the_environment_gives_is_not_changed_here(data, settings):
    settings.KEY_IS_GIVEN = True
    with pytest.raises(CommandError, match="the old one into SECRET_KEY_FALLBACKS"):
        call_command("new_key")
    assert keys.kept_keys(data) == ["first"]


def test_a_folder_without_a_key_has_none_to_change(data):
    (data / "secret.key").unlink()
    with pytest.raises(CommandError, match="There is no key in"):
        call_command("new_key")
