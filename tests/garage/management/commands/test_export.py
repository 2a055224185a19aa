from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from django.core.management import CommandError, call_command

from tests.factories import garage as make

pytestmark = pytest.mark.django_db


def test_the_command_writes_everything_into_a_file_and_over_none(tmp_path, capsys):
    make.shop()
    path = tmp_path / "all.zip"
    call_command("export", str(path))
    assert ZipFile(path).getinfo("data/garage.shop.json").compress_type == ZIP_DEFLATED
    assert str(path) in capsys.readouterr().out
    assert path.stat().st_mode & 0o077 == 0
    with pytest.raises(CommandError, match="is there already"):
        call_command("export", str(path))
    assert ZipFile(path).testzip() is None


def test_where_it_cannot_be_written_it_says_so_in_a_sentence(tmp_path):
    make.shop()
    with pytest.raises(CommandError, match="could not be written: No such file or directory"):
        call_command("export", str(tmp_path / "nowhere" / "all.zip"))


def test_of_an_empty_garage_there_is_nothing_to_take_away(tmp_path):
    with pytest.raises(CommandError, match="There is nothing yet"):
        call_command("export", str(tmp_path / "all.zip"))
