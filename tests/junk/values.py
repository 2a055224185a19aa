"""What nobody types on purpose, and what somebody sends to see what breaks: from a seeded source of chance."""

from __future__ import annotations

import io
from random import Random

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, PngImagePlugin

DAYS = (
    *("0001-01-01", "0001-01-02", "9999-12-31", "9999-12-30", "1999-12-31", "2000-01-01", "2099-12-31", "2100-01-01"),
    *("0000-00-00", "2026-02-30", "2026-13-01", "-2026-01-01", "20260101", "2026-W01-1", "1582-10-10", "1/2/3"),
)
INSTANTS = (
    *("0001-01-01T00:00:00+14:00", "0001-01-01T00:00:00Z", "9999-12-31T23:59:59-14:00", "2000-01-01T00:00:00+14:00"),
    *("2099-12-31T23:59:59-12:00", "2027-03-28T01:30:00", "2027-03-28T01:30:00+00:00", "2026-10-25T01:30:00+23:59"),
    *("24:00", "23:59:60", "00:00", "-1:00", "25:61", "2027-01-01T10:00:00.000000001Z"),
)
SUMS = (
    *("999999.99", "1000000", "999999999999", "-0.01", "-999999.99", "0", "0.001", "0.005", "1e9", "1E400", "1e-400"),
    *("NaN", "sNaN", "Infinity", "-Infinity", "1,0", "1,000,000.00", "0x10", "1_000", "£", "--5", "+5", "−5", "."),
    *("2147483647", "2147483648", "-2147483649", "9223372036854775807", "9223372036854775808", "32768", "99999.995"),
)
DIGITS = (
    *("٣", "४२", "２０２６", "²", "Ⅷ", "٩٩٩٩٩٩٩٩٩"),
    *("9" * 40, "9" * 4400, "-" + "9" * 4400, "0." + "3" * 4400, "²" * 5000),
)
TEXTS = (
    *("\0", "a\0b", "", " ", "\n", "\r\n" * 40, "\t"),
    *("x" * 41, "x" * 201, "x" * 2001, "x" * 100_000, "é" * 300, "🛵" * 90),
    *("<script>alert(1)</script>", "\"'><b>", "' OR 1=1 --", "{{ 7*7 }}", "{% now %}", "%s%n%(a)s", "{0.__class__}"),
    *("../../etc/passwd", "null", "[]", '{"a": 1}', "true", "None"),
    *("\x1b[31m", "\ufeff", "\u202etxt", "\u200b", "\x7f", "\\", "\ufffe"),
    *("a@b", f"{'a' * 250}@example.org", "robin@example.org\nBcc: all@example.org", "http://example.org/"),
)
KINDS = (DAYS, INSTANTS, SUMS, DIGITS, TEXTS)
HEADS = ("make;model;first_year;stroke_mm;spec_btdc\n", "name;email;telephone;machine;year\n")
NAMES = ("a.jpg", "a.csv", "a.wav", "a.html", "../../a.png", "x" * 300 + ".png", "\u202egpj.exe", "none")


def junk(chance: Random) -> str:
    """One value: each kind as often as the others."""
    return chance.choice(chance.choice(KINDS))


def junk_file(chance: Random) -> SimpleUploadedFile:
    """A file that is no photo, no sound and no list, or a strange one."""
    contents = (b"", b"\0" * 100, b"x" * 70_000, chance.randbytes(2000), _text_of_a_picture(), _list(chance))
    kinds = ("image/png", "text/csv", "audio/wav", "text/html")
    return SimpleUploadedFile(chance.choice(NAMES), chance.choice(contents), chance.choice(kinds))


def _text_of_a_picture() -> bytes:
    out, info = io.BytesIO(), PngImagePlugin.PngInfo()
    info.add_text("Comment", "x" * 3_000_000, zip=True)
    Image.new("RGB", (8, 8)).save(out, "PNG", pnginfo=info)
    return out.getvalue()


def _list(chance: Random) -> bytes:
    rows = "".join(";".join(junk(chance)[:500].replace("\n", " ") for _ in range(5)) + "\n" for _ in range(5))
    return (chance.choice(HEADS) + rows).encode()
