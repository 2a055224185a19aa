from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from garage.core.lists import kinds, owners
from garage.management.commands.bring_in import Command
from garage.models.owners import MachineKind
from tests.factories import garage as make

pytestmark = pytest.mark.django_db


@pytest.fixture
def file(tmp_path):
    make.shop()
    path = tmp_path / "kinds.csv"
    path.write_text("make;model;stroke_mm;colour\nCorrick;185;54;red\nTarnhow;250;x;blue\n", encoding="utf-8")
    return path


def said(*arguments):
    out = StringIO()
    call_command("bring_in", *map(str, arguments), stdout=out)
    return out.getvalue().splitlines()


def test_without_take_it_only_says_what_would_happen(file):
    assert said("kinds", file) == [
        "Line 3, stroke_mm is 'x'; allowed is a number with at most 2 decimal places, or nothing.",
        "Columns that are not used: colour.",
        "1 new, 0 changed, 0 the same, 1 refused.",
        "Nothing is taken in yet: say --take for that.",
    ]
    assert not MachineKind.objects.exists()


def test_with_take_a_refused_line_stops_all_of_it_unless_only_the_good_are_wanted(file):
    with pytest.raises(CommandError, match="Nothing was taken in"):
        said("kinds", file, "--take")
    assert not MachineKind.objects.exists()
    assert said("kinds", file, "--take", "--only-good")[-1] == "Taken in."
    assert MachineKind.objects.count() == 1


def test_a_file_that_is_not_there_is_said(file):
    with pytest.raises(CommandError, match="cannot be read: No such file"):
        said("kinds", file.with_name("other.csv"))


def test_a_garage_that_is_not_set_up_takes_nothing_in(tmp_path):
    path = tmp_path / "kinds.csv"
    path.write_text("make;model\nCorrick;185\n", encoding="utf-8")
    with pytest.raises(CommandError, match="no garage yet"):
        said("kinds", path)


def test_the_help_names_every_column():
    text = Command().create_parser("manage.py", "bring_in").format_help()
    assert [each.name for each in (*kinds.COLUMNS, *owners.COLUMNS) if f"  {each.name} " not in text] == []
