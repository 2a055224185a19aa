from __future__ import annotations

import pytest

from diagnostics.core.readings import KINDS, read_reading
from garage.core.errors import BadInput


@pytest.mark.parametrize(
    ("what", "typed", "unit", "rpm", "value", "in_unit"),
    [
        ("strobe_idle", "22", "", 1200, 22.0, "degrees BTDC"),
        ("strobe_peak", "−2,5", "degrees BTDC", 8000, -2.5, "degrees BTDC"),
        ("strobe_peak", "60", "", 30_000, 60.0, "degrees BTDC"),
        ("compression", "8.5", "", None, 8.5, "bar"),
        ("compression", "123", "psi", 100, 123.0, "psi"),
        ("compression", "0", "", None, 0.0, "bar"),
        ("leak_down", "0", "", None, 0.0, "%"),
        ("leak_down", "100", "%", None, 100.0, "%"),
    ],
)
def test_a_reading_says_what_it_is_and_at_what_revs(
    what: str, typed: str, unit: str, rpm: int | None, value: float, in_unit: str
) -> None:
    taken = read_reading(what, typed, unit, rpm)
    assert (taken.kind.id, taken.value, taken.unit, taken.rpm) == (what, value, in_unit, rpm)


@pytest.mark.parametrize(
    ("what", "typed", "unit", "rpm", "said"),
    [
        ("dwell", "1", "", None, "What was read is 'dwell'; allowed is one of the list."),
        ("strobe_idle", "22", "", None, "Revs is missing; allowed is at how many revs a minute it was read."),
        ("strobe_idle", "22", "", 99, "Revs is 99; allowed is 100 to 30000 rpm."),
        ("strobe_idle", "22", "", 30_001, "Revs is 30001; allowed is 100 to 30000 rpm."),
        ("strobe_idle", "61", "", 1200, "The reading is '61'; allowed is a number from -10 to 60 degrees BTDC."),
        ("strobe_idle", "-11", "", 1200, "The reading is '-11'; allowed is a number from -10 to 60 degrees BTDC."),
        ("strobe_idle", "nan", "", 1200, "The reading is 'nan'; allowed is a number from -10 to 60 degrees BTDC."),
        ("compression", "", "", None, "The reading is missing; allowed is a number from 0 to 40 bar."),
        ("compression", "good", "psi", None, "The reading is 'good'; allowed is a number from 0 to 580 psi."),
        ("compression", "8", "kg", None, "Unit is 'kg'; allowed is bar or psi."),
        ("leak_down", "101", "", None, "The reading is '101'; allowed is a number from 0 to 100 %."),
    ],
)
def test_what_cannot_be_read_is_refused_in_one_sentence(
    what: str, typed: str, unit: str, rpm: int | None, said: str
) -> None:
    with pytest.raises(BadInput) as refused:
        read_reading(what, typed, unit, rpm)
    assert refused.value.sentence == said


def test_both_gauges_end_at_the_same_pressure() -> None:
    """1 bar = 14.503 77 psi. Source: NIST Special Publication 811, appendix B.8."""
    units = next(kind.units for kind in KINDS if kind.id == "compression")
    assert units["psi"][1] / units["bar"][1] == pytest.approx(14.50377, abs=0.01)
