import pytest
from django.core.files.base import ContentFile, File
from django.http import Http404
from django.test import RequestFactory

from diagnostics.hearing.views.sounds import sound_answer

BYTES = bytes(range(256)) * 1000


@pytest.fixture
def kept(tmp_path):
    path = tmp_path / "clip.webm"
    path.write_bytes(BYTES)
    with path.open("rb") as opened:
        yield File(opened, name=str(path))


def asked(file, wanted=None, method="get"):
    headers = {} if wanted is None else {"Range": wanted}
    return sound_answer(getattr(RequestFactory(), method)("/", headers=headers), file)


def test_without_a_range_all_of_it_comes_and_says_that_ranges_may_be_asked_for(kept):
    answer = asked(kept)
    assert (answer.status_code, answer["Accept-Ranges"], answer["Content-Type"]) == (200, "bytes", "audio/webm")
    assert b"".join(answer) == BYTES
    assert answer["Content-Length"] == str(len(BYTES))


@pytest.mark.parametrize(  # RFC 9110, 14.1.2, with its examples for a length of 10,000 turned to this one's
    ("wanted", "begin", "end"),
    [
        ("bytes=0-499", 0, 500),
        ("bytes=500-999", 500, 1000),
        ("bytes=0-", 0, 256_000),
        ("bytes=-500", 255_500, 256_000),
        ("bytes=255999-", 255_999, 256_000),
        ("bytes=0-9999999", 0, 256_000),
        ("bytes=-9999999", 0, 256_000),
        ("bytes=100000-199999", 100_000, 200_000),
    ],
)
def test_a_range_is_answered_with_that_piece(kept, wanted, begin, end):
    answer = asked(kept, wanted)
    assert answer.status_code == 206
    assert answer["Content-Range"] == f"bytes {begin}-{end - 1}/256000"
    assert answer["Content-Length"] == str(end - begin)
    assert b"".join(answer) == BYTES[begin:end]


@pytest.mark.parametrize("wanted", ["bytes=256000-", "bytes=256000-300000", "bytes=-0"])
def test_a_range_that_is_not_there_is_not_satisfiable(kept, wanted):
    answer = asked(kept, wanted)
    assert (answer.status_code, answer["Content-Range"]) == (416, "bytes */256000")


@pytest.mark.parametrize(
    "wanted",
    [
        *("lines=1-2", "bytes=0-1,5-6", "bytes=a-b", "bytes=-", "bytes=500-400"),
        *("bytes=٠-٤", f"bytes=0-{'9' * 4400}", f"bytes={'9' * 4400}-", f"bytes=-{'9' * 4400}"),
    ],
)
def test_a_range_of_another_kind_or_none_at_all_is_passed_over(kept, wanted):
    """RFC 9110, 14.1.1 and 14.2: an unknown unit and an invalid range are ignored."""
    assert asked(kept, wanted).status_code == 200


def test_only_the_head_is_sent_when_only_that_is_asked_for(kept):
    answer = asked(kept, method="head")
    assert answer["Content-Length"] == "256000"
    assert b"".join(answer) == b""


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("a.m4a", "audio/mp4"),
        ("a.MP3", "audio/mpeg"),
        ("a.mp4", "audio/mp4"),
        ("a.html", "application/octet-stream"),
        ("a.svg", "application/octet-stream"),
        ("a.clip", "application/octet-stream"),
    ],
)
def test_whatever_was_sent_is_never_shown_as_a_page(name, kind):
    assert asked(ContentFile(b"<script>", name=name))["Content-Type"] == kind


def test_a_sound_that_is_gone_is_not_found(tmp_path):
    class Gone(File):
        size = property(lambda self: (tmp_path / "gone").stat().st_size)

    with pytest.raises(Http404):
        asked(Gone(None, name="a.m4a"))
