"""What holds for every answer, whatever page it is of."""

import io
from importlib import import_module

import pytest
from django.urls import reverse

from garage.models.visits import Visit
from garage.reads import links
from garage.reads.secret_links import feed_token, wall_token
from tests.factories import garage as make

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]
NUL, HALF = "a\0b", "%ED%A0%BD"
MULTIPART = "multipart/form-data; boundary=b"


@pytest.fixture
def desk(client):
    make.shop()
    client.force_login(make.boss())
    return client


def check_refused(answer):
    assert answer.status_code == 400
    assert "can’t be used" in answer.text
    assert "Traceback" not in answer.text


@pytest.mark.parametrize(
    ("name", "field"),
    [
        ("visit-call-off", "why"),
        ("visit-write", "words"),
        ("ring-list-done", "what_was_said"),
        ("visit-state", "state"),
        ("visit-come-back-charge", "why"),
        ("card-write", "note-words"),
    ],
)
def test_nul_in_a_field_is_refused_on_a_plain_page_and_changes_nothing(desk, name, field):
    visit = make.visit(to_ask=["How old is the plug?"])
    before = Visit.objects.values().get(pk=visit.pk)
    check_refused(desk.post(reverse(name, args=[visit.number]), {field: NUL}))
    check_refused(desk.post(reverse(name, args=[visit.number]), {NUL: "words"}))
    body = f'--b\r\nContent-Disposition: form-data; name="{field}"\r\n\r\na\0b\r\n--b--\r\n'
    check_refused(desk.generic("POST", reverse(name, args=[visit.number]), body, content_type=MULTIPART))
    assert Visit.objects.values().get(pk=visit.pk) == before


@pytest.mark.parametrize(("name", "purpose"), [("sheet-send", "sheet"), ("owner-call-off", "visit")])
def test_nul_behind_a_personal_link_is_refused_too(client, name, purpose):
    make.shop()
    check_refused(client.post(reverse(name, args=[links.token(make.visit(), purpose)]), {"why": NUL}))


def test_nul_in_an_address_a_question_or_a_cookie_is_refused(desk):
    check_refused(desk.get("/visit/1-1.%00/"))
    check_refused(desk.get("/search/?q=a%00b"))
    check_refused(desk.get("/search/?a%00b=q"))
    check_refused(desk.get("/log-in/", headers={"cookie": 'sessionid="a\\000b"'}))


def test_half_a_character_that_an_odd_charset_smuggles_in_is_refused(desk):
    visit = make.visit(to_ask=["How old is the plug?"])
    body = '--b\r\nContent-Disposition: form-data; name="what_was_said"\r\n\r\n\\ud83d\r\n--b--\r\n'
    odd = f"{MULTIPART}; charset=unicode_escape"
    check_refused(desk.generic("POST", reverse("ring-list-done", args=[visit.number]), body, content_type=odd))


@pytest.mark.parametrize("charset", ["utf-16", "utf-7", "utf-32"])
def test_a_request_in_another_encoding_is_refused(client, charset):
    make.shop()
    path = f"/visit/{links.token(make.visit(), links.VISIT)}/call-off/"
    check_refused(client.post(path, b"a=b", f"multipart/form-data; boundary=b; charset={charset}"))


@pytest.mark.parametrize("charset", ["idna", "punycode", "rot13", "undefined", "utf-16"])
def test_an_encoding_that_django_itself_fails_on_is_refused_with_a_page(rf, charset):
    """Before, the web server wrote the address of such a request into its log."""
    make.shop()
    begun: list = []
    path, asks = f"/visit/{links.token(make.visit(), links.VISIT)}/", f"x; charset={charset}"
    environ = rf._base_environ(PATH_INFO=path, QUERY_STRING="a=%ff%fe", CONTENT_TYPE=asks, HTTP_COOKIE="a=b")
    application = import_module("garage.wsgi").application  # it looks for the folder of static files, the tests' own
    body = b"".join(application(environ, lambda status, headers: begun.append((status, dict(headers)))))
    assert begun[0][0].startswith("400")
    assert "can’t be used" in body.decode()


class BrokenOff(io.RawIOBase):
    """A browser that goes away in the middle of its form."""

    def read(self, *_):
        raise OSError("connection reset")


def test_a_connection_that_ends_within_the_form_is_no_error_of_ours(client):
    make.shop()
    path = reverse("owner-call-off", args=[links.token(make.visit(), "visit")])
    form = {"CONTENT_TYPE": "application/x-www-form-urlencoded", "CONTENT_LENGTH": "10"}
    check_refused(client.generic("POST", path, **form, **{"wsgi.input": BrokenOff()}))


@pytest.mark.parametrize("end", ["", "nothing-of-the-kind/", "invoice.pdf"])
def test_whatever_is_answered_behind_a_personal_link_sends_no_referrer(client, end):
    make.shop()
    token = links.token(make.visit(), links.VISIT)
    for answer in (
        client.get(f"/visit/{token}/{end}"),
        client.get(f"/visit/{token}"),
        client.delete(f"/visit/{token}/{end}"),
        client.get(f"/visit/{token}/%00"),
    ):
        assert answer["Referrer-Policy"] == "no-referrer"
        assert answer["Cache-Control"] == "private, no-store"
        assert answer["X-Robots-Tag"] == "noindex"


@pytest.mark.parametrize("path", ["/wall/{}/nothing/", "/wall/{}", "/feed/{}/nothing.ics", "/feed/{}.ics"])
def test_nor_does_what_is_answered_behind_a_secret_address(client, path):
    shop = make.shop()
    answer = client.get(path.format(wall_token(shop) if "wall" in path else feed_token(make.boss())))
    assert answer["Referrer-Policy"] == "no-referrer"
    assert answer["Cache-Control"] == ("private, no-cache" if answer.status_code == 200 else "private, no-store")


@pytest.mark.parametrize(
    "path", ["/day/", "/visits/", "/the-book/", "/shop/", "/visits/999/", "/nothing/", "/day/2030-01-02/"]
)
def test_what_is_answered_to_somebody_logged_in_is_kept_by_no_cache(desk, path):
    assert desk.get(path)["Cache-Control"] == "private, no-store"


def test_what_everybody_may_see_may_be_kept(client):
    make.shop()
    assert "Cache-Control" not in client.get("/")


def test_what_a_browser_has_typed_to_book_is_kept_by_no_cache(client):
    make.shop()
    session = client.session
    session["browser"] = "one"
    session.save()
    assert client.get("/booked/")["Cache-Control"] == "private, no-store"
