from __future__ import annotations

import numpy as np
import pytest

from garage.core.errors import BadInput
from jobs.core.runs.logger.logger_table import read_columns, read_head

ROWS = [(index / 10, 5000 + 10 * index) for index in range(40)]


def written(head: str = "Time;Revs\ns;1/min\n", separator: str = ";", sign: str = ".", foot: str = "") -> bytes:
    lines = (separator.join((f"{time:.1f}".replace(".", sign), str(revs))) for time, revs in ROWS)
    return (head + "\n".join(lines) + foot).encode()


@pytest.mark.parametrize(
    "raw",
    [
        written(),
        written(sign=","),
        written("Time,Revs\n", separator=","),
        written("", separator="\t", sign=","),
        written("Some logger 7\nSerial;4711;b;c\n\nTime;Revs\nof the;of the\nrun;engine\n[s];[1/min]\n"),
        written('"Time";"Revs"\n').replace(b"0.5;", b'"0.5";'),
        written(foot="\n\nEnd of file;\n"),
        written("sep=;\nTime;Revs\n"),
    ],
    ids=["plain", "decimal comma", "commas", "tabs, no head", "a long head", "quotes", "a foot", "sep="],
)
def test_any_logger_gives_the_same_numbers(raw):
    table = read_columns(raw, [0, 1])
    np.testing.assert_allclose(np.column_stack([table.columns[0], table.columns[1]]), ROWS)


def test_the_first_rows_are_shown_as_they_stand():
    head = read_head(written(sign=","))
    assert head.shown[:2] == (("0,0", "5000"), ("0,1", "5010"))
    assert (head.first_line, head.separator, head.decimal, len(head.shown)) == (3, ";", ",", 6)


def test_a_line_with_a_hole_in_a_wanted_column_is_left_out_and_lines_keep_their_numbers():
    raw = written().replace(b"0.2;5020", b"0.2;")
    table = read_columns(raw, [0, 1])
    assert len(table.lines) == len(ROWS) - 1
    assert table.lines[:3].tolist() == [3, 4, 6]
    assert len(read_columns(raw, [0]).lines) == len(ROWS)


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [
        (b"a;b\nc;d\n" * 30, "The file is without numbers; allowed is a logger’s file with a line of numbers for each"),
        (b"5\n6\n7\n" * 20, "The file is without columns; allowed is two columns or more"),
        ((";".join("9" * 61) + "\n").encode() * 20, "The file is 61 columns wide; allowed is up to 60"),
        (b"1;2\n" * 5, "The file is with numbers in 5 lines of these columns; allowed is 10 lines or more"),
    ],
)
def test_a_file_without_readings_is_one_sentence(raw, sentence):
    with pytest.raises(BadInput) as refused:
        read_columns(raw, [0])
    assert refused.value.sentence.startswith(sentence)
