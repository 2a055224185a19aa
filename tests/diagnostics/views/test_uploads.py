import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import RequestFactory

from diagnostics.views.uploads import AtMost

MOST_BYTES = 100_000


def sent(bytes_in_it: int):
    request = RequestFactory().post("/", {"clip": SimpleUploadedFile("clip.webm", bytes(bytes_in_it)), "word": "kept"})
    limit = AtMost(request, MOST_BYTES)
    request.upload_handlers.insert(0, limit)
    return request, limit


@pytest.mark.parametrize("size", [1, MOST_BYTES])
def test_a_file_up_to_the_limit_comes_whole(size):
    request, limit = sent(size)
    assert request.FILES["clip"].size == size
    assert not limit.is_over


@pytest.mark.parametrize("size", [MOST_BYTES + 1, 3_000_000])
def test_a_larger_one_is_read_off_and_not_kept(size):
    request, limit = sent(size)
    assert "clip" not in request.FILES
    assert limit.is_over


def test_what_is_thrown_away_was_taken_off_the_wire():
    """Or the browser would see its connection break instead of the sentence."""
    request, _ = sent(3_000_000)
    assert "clip" not in request.FILES
    assert request._stream.read() == b""
