import codecs

import pytest

from garage.core.errors import BadInput
from garage.core.lists import table
from garage.core.lists.table import Column, read_table

COLUMNS = (Column("make", "", is_needed=True), Column("model", "", ("type",)), Column("stroke_mm", ""))


def cells(raw):
    return [(line.number, dict(line.cells)) for line in read_table(raw, COLUMNS).lines]


ONE = [(2, {"make": "Corrick", "model": "185", "stroke_mm": "54,5"})]


@pytest.mark.parametrize(
    "raw",
    [
        b"make;model;stroke_mm\nCorrick;185;54,5\n",
        b'make,model,stroke_mm\nCorrick,185,"54,5"\n',
        b"make\tmodel\tstroke_mm\nCorrick\t185\t54,5",
        b"make;model;stroke_mm\r\nCorrick;185;54,5\r\n",
        b"make;model;stroke_mm\rCorrick;185;54,5\r",
        codecs.BOM_UTF8 + b"make;model;stroke_mm\nCorrick;185;54,5\n",
        "make;model;stroke_mm\nCorrick;185;54,5\n".encode("utf-16"),
        b"Stroke MM; TYPE ;Make\n 54,5 ;185; Corrick \n",
        b'make;model;stroke_mm\n"Corrick";"185";"54,5"\n;;\n\n',
    ],
    ids=["semicolon", "comma", "tab", "CRLF", "CR", "BOM", "UTF-16", "other names and order", "quotes and empty lines"],
)
def test_a_list_is_read_however_a_spreadsheet_saved_it(raw):
    assert cells(raw) == ONE


def test_letters_of_windows_are_read_as_they_were():
    assert cells("make;model\nCôrrick;185 – Sport\n".encode("cp1252"))[0][1] == {
        "make": "Côrrick",
        "model": "185 – Sport",
    }


def test_quotes_hold_separators_line_ends_and_quotes():
    found = cells(b'make;model\n"Corrick; ""the\ntwin""";185\nTarnhow;250\n')
    assert found == [(2, {"make": 'Corrick; "the\ntwin"', "model": "185"}), (4, {"make": "Tarnhow", "model": "250"})]


def test_a_cell_that_looks_like_a_formula_is_text():
    assert cells(b'make;model\n=1+1;"@SUM(A1)"\n')[0][1] == {"make": "=1+1", "model": "@SUM(A1)"}


def test_columns_that_nobody_asked_for_are_named():
    assert read_table(b"make;colour;\nCorrick;red;\n", COLUMNS).unused == ("colour",)


def test_a_line_with_more_cells_than_columns_is_marked():
    lines = read_table(b"make;model\nCorrick;185;Sport\nTarnhow;250;;\n", COLUMNS).lines
    assert [line.too_many for line in lines] == [True, False]


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [
        (b"", "Line 1: the column make is missing; allowed is a first line of column names with make."),
        (b"model\n185\n", "Line 1: the column make is missing; allowed is a first line of column names with make."),
        (b"make;Make\na;b\n", "Line 1: the column make is there twice; allowed is each column once."),
        (b"make;model\n;\n", "The file is empty below its column names; allowed is one line for each entry."),
        (b"\x00\x01\x02", "The file is not text; allowed is a CSV file as a spreadsheet saves it, in UTF-8."),
        (b"\xff\xfem", "The file is not text; allowed is a CSV file as a spreadsheet saves it, in UTF-8."),
        (b"make\nCor\x81\n", "The file is not text; allowed is a CSV file as a spreadsheet saves it, in UTF-8."),
    ],
)
def test_what_is_no_such_list_is_refused_in_one_sentence(raw, sentence):
    with pytest.raises(BadInput) as caught:
        read_table(raw, COLUMNS)
    assert str(caught.value) == sentence


def test_a_quote_that_never_ends_names_its_line():
    with pytest.raises(BadInput, match=r"^Line 3 is not to be read .*allowed is cells in whole quotes"):
        read_table(b'make;model\nCorrick;185\nTarnhow;"250\nOstler;110\n', COLUMNS)


def test_too_much_is_refused_before_it_is_read(monkeypatch):
    monkeypatch.setattr(table, "MOST_LINES", 2)
    with pytest.raises(BadInput, match="The file is 3 lines long; allowed is up to 2"):
        read_table(b"make\na\nb\nc\n", COLUMNS)
    with pytest.raises(BadInput, match=r"The file is 4\.0 MB; allowed is up to 4 MB"):
        read_table(b"a" * (table.MOST_BYTES + 1), COLUMNS)
