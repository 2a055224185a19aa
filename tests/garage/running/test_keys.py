import stat

import pytest

from garage.running import keys


def test_keys_are_read_as_they_were_written_and_by_the_garage_alone(tmp_path):
    made = [keys.new_key(), keys.new_key()]
    keys.write_keys(tmp_path, made)
    assert keys.kept_keys(tmp_path) == made
    assert len(set(made)) == 2
    assert stat.S_IMODE((tmp_path / "secret.key").stat().st_mode) == 0o600
    assert [path.name for path in tmp_path.iterdir()] == ["secret.key"]


def test_one_key_as_earlier_editions_wrote_it_is_read(tmp_path):
    assert keys.kept_keys(tmp_path) == []
    (tmp_path / "secret.key").write_text("an-old-key")
    assert keys.kept_keys(tmp_path) == ["an-old-key"]


def test_a_write_that_was_cut_short_leaves_the_old_keys_and_is_no_hindrance(tmp_path, monkeypatch):
    keys.write_keys(tmp_path, ["first"])

    def cut(_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(keys.os, "fsync", cut)
        with pytest.raises(OSError, match="No space"):
            keys.write_keys(tmp_path, ["second", "first"])
    assert keys.kept_keys(tmp_path) == ["first"]
    keys.write_keys(tmp_path, ["second", "first"])
    assert keys.kept_keys(tmp_path) == ["second", "first"]


def test_the_first_key_is_made_once_and_an_empty_file_is_none(tmp_path):
    (tmp_path / "secret.key").touch()
    keys.make_first_key(tmp_path)
    made = keys.kept_keys(tmp_path)
    assert len(made[0]) >= 50  # Django's own check for a deployed site asks for 50 characters (security.W009)
    keys.make_first_key(tmp_path)
    assert keys.kept_keys(tmp_path) == made
    assert stat.S_IMODE((tmp_path / "secret.key").stat().st_mode) == 0o600
