"""A feed, read back by the grammar of RFC 5545 itself (rfc5545.py) and not by the library that wrote it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garage.core.errors import BadInput
from garage.output.ical import Entry, feed_file
from tests.garage.output.rfc5545 import Component, calendar_read, unfolded

NINE = datetime(2026, 7, 1, 9, tzinfo=ZoneInfo("Europe/London"))
MADE = datetime(2026, 7, 1, 6, 55, tzinfo=UTC)


def entry(**changed: Any) -> Entry:
    values = {
        "uid": "0b7c…",
        "begins_at": NINE,
        "ends_at": NINE + timedelta(minutes=90),
        "revised_at": MADE,
        "summary": "41 Corrick 185: set-up",
        "place": "Rollers",
        "is_sure": True,
    }
    return Entry(**values | changed)


def made(*entries: Entry, name: str = "Rollers, Quarry Lane Rolling Road") -> bytes:
    return feed_file(entries, name=name, uid="free", since=NINE, until=NINE + timedelta(days=14), made_at=MADE)


def events(*entries: Entry) -> list[Component]:
    return calendar_read(made(*entries)).parts


# RFC 5545, 3.1: the example of a line and of its folded form; the second fold keeps one of its two spaces.
def test_the_reader_unfolds_the_example_of_the_standard():
    folded = b"DESCRIPTION:This is a lo\r\n ng description\r\n  that exists on a long line.\r\n"
    assert unfolded(folded) == ["DESCRIPTION:This is a long description that exists on a long line."]


# RFC 5545, 3.3.11: the example of a multiple-line text with a comma.
def test_the_reader_takes_the_escapes_of_the_standards_example():
    text = Component("VEVENT", {"D": ("", r"Project XYZ Final Review\nConference Room - 3B\nCome Prepared.")}).text("D")
    assert text == "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."


# RFC 5545, 3.8.2.2 and 3.6.1: the example of an event, shortened.
def test_the_reader_takes_an_event_as_the_standard_shows_it():
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//hacksw/handcal//NONSGML v1.0//EN", "BEGIN:VEVENT"]
    lines += ["UID:19970610T172345Z-AF23B2@example.com", "DTSTAMP:19970610T172345Z", "DTSTART:19970714T170000Z"]
    lines += ["DTEND:19970715T040000Z", "SUMMARY:Bastille Day Party", "END:VEVENT", "END:VCALENDAR", ""]
    (event,) = calendar_read("\r\n".join(lines).encode()).parts
    assert event.instant("DTSTART") == datetime(1997, 7, 14, 17, tzinfo=UTC)


@pytest.mark.parametrize(
    "raw",
    [
        b"BEGIN:VCALENDAR\nEND:VCALENDAR\n",
        b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n",
        b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nSUMMARY:" + b"n" * 70 + b"\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n",
        b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nEND:VCALENDAR\r\n",
    ],
)
def test_the_reader_refuses_what_breaks_the_grammar(raw):
    with pytest.raises(AssertionError):
        calendar_read(raw)


def test_a_feed_has_its_name_how_often_to_read_it_and_nothing_of_its_own():
    calendar = calendar_read(made(entry()))
    assert calendar.properties["VERSION"] == ("", "2.0")
    assert calendar.text("NAME") == "Rollers, Quarry Lane Rolling Road"
    # RFC 7986, 5.7: the value's type must be named.
    assert calendar.properties["REFRESH-INTERVAL"] == (";VALUE=DURATION", "PT15M")
    assert "METHOD" not in calendar.properties
    names = [*calendar.properties, *calendar.parts[0].properties]
    assert [name for name in names if name.startswith("X-")] == []


def test_an_entry_is_an_event_in_utc_with_when_it_was_last_revised():
    (event,) = events(entry())
    assert event.name == "VEVENT"
    assert event.instant("DTSTART") == NINE
    assert event.instant("DTEND") == NINE + timedelta(minutes=90)
    assert event.instant("DTSTAMP") == event.instant("LAST-MODIFIED") == MADE
    assert (event.text("UID"), event.text("SUMMARY"), event.text("LOCATION")) == (
        "0b7c…",
        "41 Corrick 185: set-up",
        "Rollers",
    )


def test_what_may_still_move_is_tentative():
    assert [event.text("STATUS") for event in events(entry(), entry(uid="b", is_sure=False))] == [
        "CONFIRMED",
        "TENTATIVE",
    ]


def test_without_work_the_time_is_free_since_a_calendar_is_never_empty():
    (free,) = events()
    assert free.name == "VFREEBUSY"
    assert (free.text("UID"), free.instant("DTSTAMP")) == ("free", MADE)
    assert free.instant("DTEND") - free.instant("DTSTART") == timedelta(days=14)
    assert "FREEBUSY" not in free.properties


def test_commas_semicolons_backslashes_and_lines_are_escaped_and_long_lines_folded():
    told = "41 Corrick 185, blue; \\ “the quick one”: Größe ½ " + "é" * 80
    raw = made(entry(summary=told, place="Bench\nby the door"), name="a;b,c")
    (event,) = calendar_read(raw).parts
    assert (event.text("SUMMARY"), event.text("LOCATION")) == (told, "Bench\nby the door")
    assert b"41 Corrick 185\\, blue\\; \\\\ " in raw.replace(b"\r\n ", b"")
    assert b"\r\nNAME:a\\;b\\,c\r\n" in raw
    assert b"\r\n " in raw


texts = st.text(st.characters(exclude_categories=["Cs", "Cc"]) | st.sampled_from("\n,;\\\"':é½"), max_size=200)


@settings(deadline=None)
@given(texts, texts, texts)
def test_any_words_come_back_as_they_were(summary, place, name):
    raw = made(entry(summary=summary, place=place), name=name)
    for line in raw.split(b"\r\n"):
        line.decode("utf-8")  # no character is cut in two
    calendar = calendar_read(raw)
    (event,) = calendar.parts
    assert (event.text("SUMMARY"), event.text("LOCATION"), calendar.text("NAME")) == (summary, place, name)


@pytest.mark.parametrize(
    ("changed", "where"),
    [
        ({"ends_at": NINE}, "ends_at"),
        ({"begins_at": datetime(2026, 7, 1)}, "begins_at"),  # noqa: DTZ001  without a zone: what is tested
        ({"revised_at": datetime(2026, 7, 1)}, "revised_at"),  # noqa: DTZ001
    ],
)
def test_bad_input_is_named(changed, where):
    with pytest.raises(BadInput) as refused:
        made(entry(**changed))
    assert refused.value.where == where
