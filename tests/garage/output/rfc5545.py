"""A reader of calendar files by the grammar of RFC 5545 alone, independent of the library that writes them.

Source: RFC 5545 (September 2009), 3.1 (content lines), 3.3.5 (DATE-TIME), 3.3.11 (TEXT), 3.4 and 3.6 (components).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import UTC, datetime

CRLF, MOST_OCTETS = b"\r\n", 75
NAME = r"[A-Za-z0-9-]+"
QUOTED, BARE = r'"[^"\x00-\x08\x0a-\x1f\x7f]*"', r'[^";:,\x00-\x08\x0a-\x1f\x7f]*'
PARAM = rf";({NAME})=((?:{QUOTED}|{BARE})(?:,(?:{QUOTED}|{BARE}))*)"
CONTENT_LINE = re.compile(rf"({NAME})((?:{PARAM})*):([^\x00-\x08\x0a-\x1f\x7f]*)\Z")
# text = *(TSAFE-CHAR / ":" / DQUOTE / ESCAPED-CHAR)
TEXT = re.compile(r"(?:[^\\;,\x00-\x08\x0a-\x1f\x7f]|\\[\\;,Nn])*\Z")
UTC_TIME = re.compile(r"\d{8}T\d{6}Z\Z")


@dataclass
class Component:
    """properties: by name, with the parameters as written and the value as written."""

    name: str
    properties: dict[str, tuple[str, str]] = field(default_factory=dict)
    parts: list[Component] = field(default_factory=list)

    def text(self, name: str) -> str:
        value = self.properties[name][1]
        assert TEXT.match(value), value
        return re.sub(r"\\(.)", lambda found: {"n": "\n", "N": "\n"}.get(found[1], found[1]), value)

    def instant(self, name: str) -> datetime:
        params, value = self.properties[name]
        assert params == ""
        assert UTC_TIME.match(value), value
        return datetime.strptime(value, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)


def unfolded(raw: bytes) -> list[str]:
    """The content lines. Each physical line has at most 75 octets and ends with CRLF."""
    assert raw.endswith(CRLF)
    assert raw.count(b"\n") == raw.count(b"\r") == raw.count(CRLF)
    assert all(len(line) <= MOST_OCTETS for line in raw.split(CRLF))
    return re.sub(rb"\r\n[ \t]", b"", raw).decode("utf-8").removesuffix("\r\n").split("\r\n")


def calendar_read(raw: bytes) -> Component:
    """The one VCALENDAR. Fails where the grammar is broken."""
    open_ones: list[Component] = []
    whole = None
    for line in unfolded(raw):
        found = CONTENT_LINE.match(line)
        assert found, line
        assert whole is None, "something after the calendar"
        name, params, value = found[1].upper(), found[2], found[found.lastindex]
        if name == "BEGIN":
            open_ones.append(Component(value))
        elif name == "END":
            done = open_ones.pop()
            assert done.name == value
            assert done.name != "VCALENDAR" or done.parts, "icalbody has at least one component (3.6)"
            whole = None if open_ones else done
            if open_ones:
                open_ones[-1].parts.append(done)
        else:
            assert name not in open_ones[-1].properties, f"{name} twice"
            open_ones[-1].properties[name] = (params, value)
    assert whole is not None
    assert whole.name == "VCALENDAR"
    return whole
