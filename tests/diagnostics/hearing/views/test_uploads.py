import io
import math

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client, RequestFactory
from django.urls import reverse

from diagnostics.hearing.models.clips import Clip
from diagnostics.hearing.views.uploads import AROUND_BYTES, LARGEST_BYTES, AtMost
from garage.reads import links
from tests.factories import garage

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


class NeverRead(io.RawIOBase):
    """The wire, with a file on it that nobody is to take off."""

    def read(self, *_):
        raise AssertionError("the upload was read")


def stated(client, url, stated_bytes, **more):
    form = {"CONTENT_TYPE": "multipart/form-data; boundary=b", "CONTENT_LENGTH": str(stated_bytes)}
    return client.generic("POST", url, **form, **{"wsgi.input": NeverRead()}, **more)


def owners_page(visit):
    return reverse("sheet-clip", args=[links.token(visit, links.SHEET)])


def workshops_page(visit):
    return reverse("clip-add", args=[visit.number])


@pytest.fixture
def browser():
    """Logged in; the check of the token in forms is on, as it is for people."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(garage.person())
    return client


@pytest.mark.django_db
@pytest.mark.parametrize("page", [owners_page, workshops_page])
@pytest.mark.parametrize("stated_bytes", [LARGEST_BYTES + AROUND_BYTES + 1, 2**32, 10**18])
def test_one_that_says_itself_that_it_is_too_large_is_refused_unread(browser, visit, page, stated_bytes):
    answer = stated(browser, page(visit), stated_bytes)
    if page is workshops_page:
        assert answer.url == reverse("findings", args=[visit.number])
        answer = browser.get(answer.url)
    else:
        assert answer.status_code == 422
    assert (
        f"The clip is {math.ceil((stated_bytes - AROUND_BYTES) / 1e6):,} MB; allowed is a sound or video file"
        in answer.text
    )
    assert not Clip.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize("page", [owners_page, workshops_page])
@pytest.mark.parametrize("stated_bytes", [LARGEST_BYTES, LARGEST_BYTES + AROUND_BYTES])
def test_up_to_the_limit_it_is_read(browser, visit, page, stated_bytes):
    browser.get(reverse("findings", args=[visit.number]))  # for the cookie that the form's token is held against
    with pytest.raises(AssertionError, match="was read"):
        stated(browser, page(visit), stated_bytes)


@pytest.mark.django_db
def test_a_length_that_is_absent_lets_nothing_in(browser, visit):
    assert "The clip is missing" in stated(browser, owners_page(visit), "").text


@pytest.mark.django_db
def test_one_that_is_larger_than_the_limit_by_less_than_a_form_is_thrown_away(browser, visit, monkeypatch):
    """Between the two limits only its bytes tell."""
    monkeypatch.setattr("diagnostics.hearing.views.uploads.LARGEST_BYTES", MOST_BYTES)
    answer = browser.post(owners_page(visit), {"clip": SimpleUploadedFile("a.webm", bytes(MOST_BYTES + 1))})
    assert "The clip is more than 100 MB; allowed is" in answer.text
    assert not Clip.objects.exists()


@pytest.mark.django_db
def test_the_workshops_form_is_taken_with_its_token_only(browser, visit):
    clip = {"clip": SimpleUploadedFile("a.webm", b"sound")}
    assert browser.post(workshops_page(visit), clip).status_code == 403
    page = browser.get(reverse("findings", args=[visit.number])).text
    token = page.split('name="csrfmiddlewaretoken" value="')[1].split('"')[0]
    clip = {"clip": SimpleUploadedFile("a.webm", b"sound"), "csrfmiddlewaretoken": token}
    assert browser.post(workshops_page(visit), clip).status_code == 302
    assert Clip.objects.count() == 1
