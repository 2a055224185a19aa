from __future__ import annotations

import io
import zipfile

import pytest

from garage.core.errors import BadInput
from jobs.core.runs.logger.file_text import MOST_BYTES, check_size, rows_of, separator_of, text_of

TEXT = "Zeit;Régime\n1,0;5000\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "latin-1"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_any_encoding_and_line_end_gives_the_same_text(encoding, line_end):
    assert text_of(TEXT.replace("\n", line_end).encode(encoding)) == TEXT


def spreadsheet() -> bytes:
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w") as archive:
        archive.writestr("xl/workbook.xml", "<workbook/>")
    return kept.getvalue()


@pytest.mark.parametrize(
    ("raw", "found"),
    [
        (spreadsheet(), "a spreadsheet or a ZIP file under another name"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500), "an old spreadsheet under another name"),
        (b"\xef\xbb\xbf <html><table><tr><td>1", "a web page or XML under another name"),
        (b"%PDF-1.7", "a PDF"),
        (b"\x1f\x8b\x08\x00", "packed with gzip"),
    ],
)
def test_a_spreadsheet_in_disguise_is_named_with_the_way_out(raw, found):
    with pytest.raises(BadInput) as refused:
        text_of(raw)
    assert refused.value.sentence == (
        f"The file is {found}; allowed is CSV text: open it where it was made and save or export it as CSV."
    )


@pytest.mark.parametrize("raw", [b"", b" \r\n", b"\xef\xbb\xbf"])
def test_an_empty_file_is_called_empty(raw):
    with pytest.raises(BadInput, match=r"^The file is empty"):
        text_of(raw)


@pytest.mark.parametrize("raw", [bytes(range(256)) * 4, b"\x00" * 64, b"\xff\xfe\x00\xd8\x00"])
def test_what_is_no_text_is_refused(raw):
    with pytest.raises(BadInput, match=r"^The file is not text"):
        text_of(raw)


def test_a_file_too_large_is_not_read():
    check_size(MOST_BYTES)
    with pytest.raises(BadInput, match=r"^The file is 21.0 MB"):
        check_size(21_000_000)


@pytest.mark.parametrize(
    ("line", "separator"),
    [("1,5;2,5;3,5", ";"), ("1.5,2.5,3.5", ","), ("1,5\t2,5", "\t"), ("1,5|2,5", "|"), (" 1.5  2.5", " ")],
)
def test_the_separator_is_what_cuts_every_line_alike(line, separator):
    assert separator_of(["Logger, seven; all in one", "a,b", *[line] * 40]) == separator


def test_a_quote_that_never_ends_is_one_sentence():
    with pytest.raises(BadInput, match=r"^The file is not to be read"):
        [*rows_of(['"1;2', *["1;2" * 20_000] * 3], ";")]
