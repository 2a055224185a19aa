from __future__ import annotations

import math

import numpy as np
import pytest

from jobs.core.runs.logger.cell_numbers import decimal_sign, number_of, numbers_of


@pytest.mark.parametrize(
    ("cell", "sign", "value"),
    [
        ("12.5", ".", 12.5),
        ("12,5", ",", 12.5),
        ("-0,5", ",", -0.5),
        ("1.234,5", ",", 1234.5),
        ("1.234", ",", 1234.0),
        ("12.5", ",", 12.5),  # no thousands: a logger that mixes both signs
        ("1,234.5", ".", 1234.5),
        ("12,345", ".", 12345.0),
        ("1e3", ".", 1000.0),
        ("01:02:03.25", ".", 3723.25),
        ("02:03,25", ",", 123.25),
        ("2026-11-30T08:00:01.5Z", ".", 28801.5),
        ("30/11/2026 08:00:01", ".", 28801.0),
    ],
)
def test_a_cell_is_read_as_its_logger_meant_it(cell, sign, value):
    assert number_of(cell, sign) == value


@pytest.mark.parametrize("cell", ["", " ", "off", "-", "inf", "nan", "1e999", "2e13", "#N/A", "1;2", "--1"])
def test_what_is_no_number_is_none(cell):
    assert math.isnan(number_of(cell, "."))
    assert np.isnan(numbers_of([cell, "1.5"], ".")).tolist() == [True, False]


def test_a_column_reads_as_its_cells_do():
    for sign, cells in ((",", ["1,5", "2", "1.234,5", ""]), (".", ["1.5", "2", "1,234.5", "x"]), (",", ["0,5", "7"])):
        np.testing.assert_array_equal(numbers_of(cells, sign), [number_of(cell, sign) for cell in cells])


@pytest.mark.parametrize(
    ("cells", "sign"),
    [(["1", "2"], "."), (["1.5", "2"], "."), (["1,5", "2"], ","), (["1,234", "1.5"], "."), (["1.234,5", "3"], ",")],
)
def test_the_decimal_sign_is_told_from_the_cells(cells, sign):
    assert decimal_sign(cells) == sign
