"""What is done before a garage starts, and what keeps it from starting; first starts are in tests/garage/running/."""

from io import StringIO

import pytest
from django.core.management import CommandError

from garage.management.commands.prepare import Command
from garage.running.machine import FIRST_RUN
from tests.kept_garage import KeptGarage, of_the_first_edition


@pytest.fixture
def data(settings, tmp_path):
    settings.DATA, settings.BACKUPS = tmp_path, tmp_path / "backups"
    return tmp_path


def test_a_garage_is_not_brought_up_to_date_without_a_copy(tmp_path):
    garage = of_the_first_edition(tmp_path)
    before = garage.rows_of_every_table()
    said = garage.refused("prepare", BACKUPS="/sys/backups")
    assert "Nothing was brought up to date, since no copy could be made first." in said
    assert "BACKUPS_KEPT=0" in said
    assert garage.rows_of_every_table() == before


@pytest.mark.parametrize("kept", ["many", "-1", "7.5", "٧", "99999"])
def test_a_number_of_backups_that_is_none_is_one_sentence(tmp_path, kept):
    said = KeptGarage(tmp_path).refused("prepare", BACKUPS_KEPT=kept)
    assert said == f"Not done: BACKUPS_KEPT is {kept!r}; allowed is a whole number from 0 to 9999."


def test_whoever_makes_backups_in_another_way_can_go_without(data, settings):
    settings.BACKUPS_KEPT = 0
    Command(stdout=StringIO())._copy_first()
    assert list(data.iterdir()) == []


def test_a_first_run_is_marked_for_the_demo_and_goes_on_when_it_was_cut_short(data):
    Command()._mark_first_run(True, "first")
    assert (data / FIRST_RUN).exists()
    (data / "secret.key").write_text("made since")
    Command()._mark_first_run(True, "first")
    assert (data / FIRST_RUN).exists()


def test_a_first_run_that_was_cut_short_and_is_then_wanted_empty_loads_no_demo(data):
    Command()._mark_first_run(True, "first")
    Command()._mark_first_run(True, "never")
    assert not (data / FIRST_RUN).exists()


def test_an_empty_database_in_the_folder_of_a_garage_is_no_first_run_unless_an_empty_one_is_wanted(data):
    (data / "secret.key").write_text("an-old-key")
    with pytest.raises(CommandError, match="was a garage before"):
        Command()._mark_first_run(True, "first")
    assert not (data / FIRST_RUN).exists()
    Command()._mark_first_run(True, "never")
    Command()._mark_first_run(False, "first")
    assert not (data / FIRST_RUN).exists()
