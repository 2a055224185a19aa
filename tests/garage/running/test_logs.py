import contextlib
import logging
import os
from urllib.error import HTTPError
from urllib.parse import quote, unquote
from urllib.request import ProxyHandler, Request, build_opener

import pytest
from django.conf import settings
from django.urls import reverse
from gunicorn.config import Config

from garage.celery import app as celery_app
from garage.reads import links
from garage.running.logs import HideTokens, without_tokens
from garage.running.web.web_server_log import WebServerLog
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


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "utf-16-be", "utf-32"])
@pytest.mark.parametrize("written", [repr, quote, lambda raw: raw.decode("latin-1"), lambda raw: quote(quote(raw))])
@pytest.mark.parametrize("words", [f"/visit/{TOKEN}/", f"/feed/{TOKEN}.ics", f"/wall/{TOKEN}/", LONE])
def test_no_encoding_hides_a_token(encoding, written, words):
    line = without_tokens(f"the form was {written(words.encode(encoding))}")
    for _ in range(3):
        line = unquote(line).replace("\\x00", "").replace("\0", "")
    assert TOKEN not in line
    assert LONE not in line
    assert line.startswith("the form was")


@pytest.mark.parametrize("line", ["100%25 sure", "Not Found: /day/?q=a%2Fb", "b'a\\x00b'", "/visits/41/%C3%A9/"])
def test_a_line_without_a_token_stays_as_it_is(line):
    assert without_tokens(line) == line


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
        odd = Request(f"{live.base_url}/visit/{token}/?a=%ff", headers={"Content-Type": "x; charset=idna"})  # noqa: S310
        with pytest.raises(HTTPError, match="400"):
            build_opener(ProxyHandler({})).open(odd)
    live.stop()
    said = "\n".join(live.said)
    assert "Gone" in said
    assert "Not Found" in said
    for token in tokens:
        assert token not in said


def test_the_web_servers_own_log_masks_what_it_writes():
    """It writes the address of a request that failed outside Django."""
    config = Config()
    config.set("errorlog", os.devnull)
    log = WebServerLog(config).error_log
    assert log.handlers
    for handler in log.handlers:
        written = record("Error handling request %s %s", "GET", f"/visit/{TOKEN}/")
        assert handler.filter(written)
        assert TOKEN not in written.getMessage()
        handler.close()


def test_a_worker_writes_with_the_handlers_that_mask():
    assert celery_app.conf.worker_hijack_root_logger is False
    for name, handler in settings.LOGGING["handlers"].items():
        assert "hide_tokens" in handler["filters"], name
