import contextlib
import logging
from urllib.error import HTTPError

import pytest
from django.urls import reverse

from garage.reads import links
from garage.running.logs import HideTokens, without_tokens
from tests.factories import garage as make

TOKEN = "41-1.Zm9vYmFyZm9vYmFyZm9vYmFyZm9vYmFyZm9vYmFyZm9v"
LONE = "41-1." + "a_-Z" * 10 + "abc"


@pytest.mark.parametrize(
    "line",
    [
        f"Gone: /sheet/{TOKEN}/",
        f"Not Found: /visit/{TOKEN}/invoice.pdf",
        f'127.0.0.1 "GET /sheet/{TOKEN}/rev_out/ HTTP/1.1" 410',
        f"Forbidden (Origin checking failed): /visit/{TOKEN}/call-off/",
        f"http://127.0.0.1:8000/visit/{TOKEN}",
        f"the token {LONE} alone",
        f"next=%2Fsheet%2F{TOKEN}%2F",
        f'127.0.0.1 "GET /feed/{TOKEN}.ics HTTP/1.1" 304',
        f"Gone: /wall/{TOKEN}/",
    ],
)
def test_no_token_is_left_in_a_line(line):
    assert TOKEN not in without_tokens(line)
    assert "41-1." not in without_tokens(line)


@pytest.mark.django_db
def test_the_pattern_fits_the_tokens_that_are_signed():
    token = links.token(make.visit(), "visit")
    assert without_tokens(f"<{token}>") == "<…>"


def test_numbers_of_visits_stay_readable():
    assert without_tokens("Not Found: /visits/41/gate/") == "Not Found: /visits/41/gate/"


def record(message, *args, exc_info=None):
    return logging.LogRecord("django.request", logging.ERROR, __file__, 1, message, args, exc_info)


def test_arguments_and_tracebacks_are_cleaned_too():
    try:
        raise ValueError(f"broken at /sheet/{TOKEN}/")
    except ValueError as error:
        written = record("%s: %s", "Internal Server Error", f"/sheet/{TOKEN}/", exc_info=(ValueError, error, None))
    HideTokens().filter(written)
    said = logging.Formatter().format(written)
    assert "Internal Server Error" in said
    assert "broken at" in said
    assert TOKEN not in said


@pytest.mark.django_db
@pytest.mark.parametrize("purpose", links.PURPOSES)
def test_a_dead_link_is_logged_without_its_token(client, purpose):
    make.shop()
    visit = make.visit()
    token = links.token(visit, purpose)
    visit.link_generation += 1
    visit.save()
    handler = logging.getLogger("django").handlers[0]
    lines = []
    stream, handler.stream = handler.stream, type("Kept", (), {"write": lines.append, "flush": lambda _: None})()
    try:
        client.get(reverse("sheet" if purpose == "sheet" else "owner-visit", args=[token]))
    finally:
        handler.stream = stream
    said = "".join(lines)
    assert "Gone" in said
    assert token not in said


SET_UP = """
from tests.factories import garage as make
from garage.reads import links
make.shop()
visit = make.visit()
print("tokens", links.token(visit, "sheet"), links.token(visit, "visit"))
visit.link_generation += 1
visit.save()
"""


def test_the_started_server_never_logs_a_token(live_tickover):
    live = live_tickover(demo="never", part="web", variables={"LOG_LEVEL": "DEBUG"})
    tokens = live.shell(SET_UP).split("tokens ")[1].split()
    for token in tokens:
        for address in (
            f"/sheet/{token}/",
            f"/visit/{token}/",
            f"/visit/{token}/nowhere/",
            f"/log-in/?next=/visit/{token}/",
        ):
            with contextlib.suppress(HTTPError):
                live.get(address)
    live.stop()
    said = "\n".join(live.said)
    assert "Gone" in said
    assert "Not Found" in said
    for token in tokens:
        assert token not in said
