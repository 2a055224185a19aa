"""What is sent to a page is bounded before anybody is known."""

import io

import pytest
from django.urls import reverse

from garage.reads import links
from garage.views.body_limits import FORM_BYTES, most_body_bytes
from tests.factories import garage as make

pytestmark = pytest.mark.django_db
FORM = "application/x-www-form-urlencoded"


class Unread(io.RawIOBase):
    def read(self, *_):
        raise AssertionError("it was read")


def posted(client, path, stated_bytes):
    return client.generic("POST", path, content_type=FORM, CONTENT_LENGTH=str(stated_bytes), **{"wsgi.input": Unread()})


@pytest.mark.parametrize("name", ["log-in", "book-confirm", "begin", "owner-call-off", "sheet-send"])
def test_more_than_a_form_of_words_takes_is_refused_unread_on_a_page_that_says_so(client, name):
    make.shop()
    token = links.token(make.visit(), "sheet" if name == "sheet-send" else "visit")
    path = reverse(name, args=[token] if name in ("owner-call-off", "sheet-send") else [])
    answer = posted(client, path, FORM_BYTES + 1)
    assert answer.status_code == 413
    assert "This page takes at most 200 kB. Nothing was saved." in answer.text


def test_the_longest_text_of_a_form_fits():
    assert FORM_BYTES > 3 * 12 * 3000


def test_a_photo_and_a_list_may_be_larger_and_still_have_their_bound(client):
    make.shop()
    client.force_login(make.boss())
    for name, said in (("photo-add", "25 MB"), ("shop-lists", "4 MB")):
        path = reverse(name, args=[make.visit().number] if name == "photo-add" else [])
        assert FORM_BYTES < most_body_bytes("POST", path) < 26_000_000
        assert f"at most {said}." in posted(client, path, 26_000_000).text


def test_a_clip_may_be_the_largest_and_is_refused_in_its_own_words(client):
    make.shop()
    path = reverse("sheet-clip", args=[links.token(make.visit(), "sheet")])
    assert most_body_bytes("POST", path) == 100_100_000
    answer = posted(client, path, 100_100_001)
    assert "allowed is a sound or video file" in answer.text


@pytest.mark.parametrize(
    ("method", "target"),
    [("POST", "/nothing/"), ("GET", "/book/"), ("PUT", "/log-in/"), ("POST", "http://[/"), ("POST", "")],
)
def test_where_no_form_is_nothing_is_taken(method, target):
    assert most_body_bytes(method, target) == 0


def test_the_address_as_a_request_states_it_is_read_as_the_page_is_found():
    assert most_body_bytes("POST", "/log%2Din/?next=/day/") == FORM_BYTES
    assert most_body_bytes("POST", "http://garage.example.org/log-in/") == FORM_BYTES
