"""A file in the media is whole or not there."""

import errno

import pytest
from django.core.files.base import ContentFile, File
from django.core.files.storage import default_storage

from garage.output.whole_files import WholeFileStorage


class FullHalfway(File):
    """As on a disk that has no room for the second half."""

    def __init__(self):
        super().__init__(None, name="photo.jpg")

    def chunks(self, chunk_size=None):
        yield b"the first half"
        raise OSError(errno.ENOSPC, "No space left on device")


def names(folder):
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


def test_the_garage_keeps_its_media_so():
    assert default_storage.__class__ is WholeFileStorage


def test_a_file_is_kept_under_its_name_and_read_by_nobody_else(tmp_path):
    storage = WholeFileStorage(location=tmp_path, file_permissions_mode=0o600)
    name = storage.save("clips/2026/11/a.m4a", ContentFile(b"sound"))
    assert (name, names(tmp_path)) == ("clips/2026/11/a.m4a", ["clips/2026/11/a.m4a"])
    assert (tmp_path / name).read_bytes() == b"sound"
    assert (tmp_path / name).stat().st_mode & 0o777 == 0o600


def test_two_of_one_name_are_two_files(tmp_path):
    storage = WholeFileStorage(location=tmp_path)
    first, second = (storage.save("a.jpg", ContentFile(content)) for content in (b"one", b"two"))
    assert first != second
    assert [(tmp_path / name).read_bytes() for name in (first, second)] == [b"one", b"two"]


def test_one_who_takes_the_name_meanwhile_keeps_it(tmp_path, monkeypatch):
    storage = WholeFileStorage(location=tmp_path)
    written = storage._written

    def written_while_another_comes(part, content):
        written(part, content)
        (tmp_path / "a.jpg").write_bytes(b"the other's")

    monkeypatch.setattr(storage, "_written", written_while_another_comes)
    name = storage.save("a.jpg", ContentFile(b"ours"))
    assert name != "a.jpg"
    assert (tmp_path / "a.jpg").read_bytes() == b"the other's"
    assert (tmp_path / name).read_bytes() == b"ours"


def test_a_disk_that_fills_up_leaves_no_half(tmp_path):
    (tmp_path / "a.jpg").write_bytes(b"another's")
    with pytest.raises(OSError, match="No space left"):
        WholeFileStorage(location=tmp_path).save("a.jpg", FullHalfway())
    assert names(tmp_path) == ["a.jpg"]
    assert (tmp_path / "a.jpg").read_bytes() == b"another's"
