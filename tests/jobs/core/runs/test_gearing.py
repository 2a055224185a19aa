from __future__ import annotations

import pytest

from garage.core.errors import BadInput
from jobs.core.runs.gearing import roll_out_mm, rpm_per_km_h


@pytest.mark.parametrize(  # tyre makers' rule of thumb, 3.05 times ETRTO's diameter; measured it may be 1 % off
    ("size", "mm"), [("90/90-18", 1888.6), ("110/80-18", 1931.3), ("130/70-17", 1872.1), ("80/80-14", 1475.0)]
)
def test_a_tyre_rolls_as_the_rule_of_thumb_says(size, mm):
    assert roll_out_mm(size) == pytest.approx(mm, abs=0.06)


@pytest.mark.parametrize("written", ["90/90-18", " 90 / 90 - 18 ", "90/90-R18", "90/90-r 18"])
def test_a_size_may_be_written_in_several_ways(written):
    assert roll_out_mm(written) == roll_out_mm("90/90-18")


def test_a_measured_way_counts_as_it_is():
    assert roll_out_mm("1854 mm") == roll_out_mm("1854") == 1854
    assert roll_out_mm("1854,5 mm") == 1854.5


def test_speed_and_revs_are_those_of_the_french_order():
    """Order of 27 March 1979, article 2: V = 0.06 · D · n · R; D 1.85 m, n 9000, reduction 7.5 give 133.2 km/h."""
    assert 133.2 * rpm_per_km_h(7.5, 1850) == pytest.approx(9000)


@pytest.mark.parametrize("tyre", ["fat one", "", "90-18", "10 mm", "99999", "90/90-0"])
def test_what_is_no_tyre_is_refused(tyre):
    with pytest.raises(BadInput, match=r"^Tyre"):
        roll_out_mm(tyre)


@pytest.mark.parametrize("reduction", [0, -7.5, 101, float("nan")])
def test_a_reduction_lies_above_nothing(reduction):
    with pytest.raises(BadInput, match=r"^Reduction"):
        rpm_per_km_h(reduction, 1850)
