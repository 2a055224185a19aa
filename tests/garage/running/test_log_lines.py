"""A line of the log: when, how bad, which request, what."""

from __future__ import annotations

import json
import logging
import re
import sys

import pytest

from garage.running.log_lines import JsonLines, WordLines, request_id

MESSAGE = "two\nlines é"
TIME = r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}\+00:00"


def record(message="Not Found: %s", *args, failed=False):
    info = None
    if failed:
        try:
            1 / 0  # noqa: B018
        except ZeroDivisionError:
            info = sys.exc_info()
    return logging.LogRecord("django.request", logging.WARNING, "x.py", 1, message, args or ("/day/",), info)


@pytest.fixture
def _of_a_request():
    before = request_id.set("0123456789ab")
    yield
    request_id.reset(before)


def test_in_words_it_says_when_and_how_bad():
    assert re.fullmatch(rf"{TIME} WARNING Not Found: /day/", WordLines().format(record()))


@pytest.mark.usefixtures("_of_a_request")
def test_in_words_it_names_the_request():
    assert re.fullmatch(rf"{TIME} WARNING \[0123456789ab\] Not Found: /day/", WordLines().format(record()))


@pytest.mark.usefixtures("_of_a_request")
def test_as_json_it_is_one_object_in_one_line_with_what_went_wrong():
    line = JsonLines().format(record("two\nlines %s", "é", failed=True))
    assert "\n" not in line
    told = json.loads(line)
    assert re.fullmatch(TIME, told.pop("at"))
    assert "ZeroDivisionError" in told.pop("error")
    assert told == {
        "level": "WARNING",
        "logger": "django.request",
        "request": "0123456789ab",
        "message": "two\nlines é",
    }


def test_as_json_outside_a_request_it_names_none():
    assert json.loads(JsonLines().format(record())).keys() == {"at", "level", "logger", "message"}


def test_each_answer_names_its_request_and_never_by_what_came_from_outside(client):
    first, second = (client.get("/healthz", headers={"X-Request-ID": "mine"})["X-Request-ID"] for _ in range(2))
    assert re.fullmatch(r"[0-9a-f]{12}", first)
    assert first != second
    assert request_id.get() == ""
