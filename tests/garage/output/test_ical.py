"""The calendar file, read back by its library and looked at byte by byte (RFC 5545)."""

# ruff: noqa: DTZ001  wall-clock times without a zone are what is tested

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from garage.core.errors import BadInput
from garage.output.ical import CANCEL, PUBLISH, calendar_file, content_type

STARTS = datetime(2026, 7, 1, 9, 30, tzinfo=ZoneInfo("Europe/London"))


def made(**changed):
    return calendar_file(
        **{
            "method": PUBLISH,
            "uid": "8f14e45f-ceea-467f-a0e6-2f5d1c6a0001",
            "sequence": 0,
            "starts_at": STARTS,
            "ends_at": STARTS + timedelta(minutes=90),
            "stamped_at": datetime(2026, 6, 1, 12, tzinfo=UTC),
            "summary": "Set-up on the rollers, visit 1042",
            "place": "Quarry Lane Rolling Road\nAmbleford",
            "words": "Corrick 185. Bring the key; fill the check sheet before you come, please.",
            "organizer_name": "Quarry Lane Rolling Road",
            "organizer_mail": "rollers@example.com",
        }
        | changed
    )


def read_back(raw):
    calendar = Calendar.from_ical(raw)
    [event] = calendar.walk("VEVENT")
    return calendar, event


def test_a_booking_is_published_and_asks_nobody_for_a_reply():
    calendar, event = read_back(made())
    assert (calendar["METHOD"], calendar["VERSION"]) == ("PUBLISH", "2.0")
    assert "PRODID" in calendar
    assert "ATTENDEE" not in event
    assert b"RSVP" not in made()
    assert event["STATUS"] == "CONFIRMED"
    assert str(event["ORGANIZER"]) == "mailto:rollers@example.com"
    assert event["ORGANIZER"].params["CN"] == "Quarry Lane Rolling Road"


def test_values_survive_a_round_trip():
    _, event = read_back(made())
    assert event["UID"] == "8f14e45f-ceea-467f-a0e6-2f5d1c6a0001"
    assert event["SUMMARY"] == "Set-up on the rollers, visit 1042"
    assert event["LOCATION"] == "Quarry Lane Rolling Road\nAmbleford"
    assert event["DESCRIPTION"] == "Corrick 185. Bring the key; fill the check sheet before you come, please."
    assert event.decoded("DTEND") - event.decoded("DTSTART") == timedelta(minutes=90)


def test_times_are_written_in_utc():
    raw = made()
    assert b"\r\nDTSTART:20260701T083000Z\r\n" in raw
    assert b"\r\nDTEND:20260701T100000Z\r\n" in raw
    assert b"\r\nDTSTAMP:20260601T120000Z\r\n" in raw
    assert b"VTIMEZONE" not in raw


# RFC 5546, 3.2.5: METHOD:CANCEL, STATUS:CANCELLED, same UID, SEQUENCE raised too.
def test_a_change_keeps_its_uid_and_a_calling_off_is_a_cancel():
    first, moved, off = (
        read_back(made()),
        read_back(made(sequence=1, starts_at=STARTS + timedelta(hours=1), ends_at=STARTS + timedelta(hours=2))),
        read_back(made(method=CANCEL, sequence=2)),
    )
    assert len({event["UID"] for _, event in (first, moved, off)}) == 1
    assert [event["SEQUENCE"] for _, event in (first, moved, off)] == [0, 1, 2]
    assert [str(calendar["METHOD"]) for calendar, _ in (first, moved, off)] == ["PUBLISH", "PUBLISH", "CANCEL"]
    assert (off[1]["STATUS"], str(off[1]["ORGANIZER"])) == ("CANCELLED", "mailto:rollers@example.com")


def test_the_media_type_names_the_same_method():
    assert content_type(CANCEL) == "text/calendar; charset=utf-8; method=CANCEL"


texts = st.text(st.characters(exclude_categories=["Cs", "Cc"]) | st.sampled_from("\n,;\\\"'é"), max_size=300)


@settings(deadline=None)
@given(texts, texts, texts, texts)
def test_lines_stay_within_75_octets_and_end_as_they_must_whatever_the_text(summary, place, words, name):
    raw = made(summary=summary, place=place, words=words, organizer_name=name)
    assert raw.endswith(b"END:VCALENDAR\r\n")
    assert raw.count(b"\n") == raw.count(b"\r\n") == raw.count(b"\r")
    assert all(len(line) <= 75 for line in raw.split(b"\r\n"))
    for line in raw.split(b"\r\n"):
        line.decode("utf-8")  # no character is cut in two
    _, event = read_back(raw)
    assert (event["SUMMARY"], event["LOCATION"], event["DESCRIPTION"]) == (summary, place, words)


def test_control_characters_and_foreign_lines_do_not_get_in():
    raw = made(summary="a\x00b\x0bc\r\nEND:VEVENT", organizer_name='The "Lane"\r\nATTENDEE:mailto:x@example.com')
    _, event = read_back(raw)
    assert event["SUMMARY"] == "abc\nEND:VEVENT"
    assert "ATTENDEE" not in event
    assert event["ORGANIZER"].params["CN"] == "The 'Lane' ATTENDEE:mailto:x@example.com"


@pytest.mark.parametrize(
    ("changed", "where"),
    [
        ({"method": "REQUEST"}, "method"),
        ({"sequence": -1}, "sequence"),
        ({"method": CANCEL, "sequence": 0}, "sequence"),
        ({"starts_at": datetime(2026, 7, 1)}, "starts_at"),
        ({"ends_at": STARTS}, "ends_at"),
        ({"organizer_mail": "nobody"}, "organizer_mail"),
        ({"organizer_mail": "a@example.com\r\nX:y"}, "organizer_mail"),
    ],
)
def test_bad_input_is_named(changed, where):
    with pytest.raises(BadInput) as refused:
        made(**changed)
    assert refused.value.where == where
