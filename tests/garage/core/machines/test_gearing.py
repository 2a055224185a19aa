from __future__ import annotations

from decimal import Decimal

import pytest

from garage.core.errors import BadInput
from garage.core.machines.gearing import NOT_SAID, gearing_of, gears_of, roll_out_mm, rpm_per_km_h


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


GEARED = {"primary_ratio": Decimal("2.5"), "gear_ratios": "3 1.8 1.2", "final_ratio": Decimal("2.5"), "tyre": "1850"}


def test_top_gear_is_primary_times_last_gear_times_final_drive():
    """2.5 · 1.2 · 2.5 is the reduction 7.5 of the French order's example: 9000 rpm at 133.2 km/h, D 1.85 m."""
    gearing = gearing_of(GEARED)
    assert gearing.top_reduction == pytest.approx(7.5)
    assert 133.2 * gearing.top == pytest.approx(9000)
    assert {name: round(133.2 * rpm) for name, rpm in gearing.lower.items()} == {
        "first gear": 22500,
        "second gear": 13500,
    }


@pytest.mark.parametrize("part", GEARED)
def test_a_part_that_is_not_known_makes_no_gearing_and_is_no_trouble(part):
    assert gearing_of(GEARED | {part: NOT_SAID[part]}) is None
    assert gearing_of(NOT_SAID) is None


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"primary_ratio": Decimal("0.4")}, "Primary reduction is 0.4; allowed is 0.5 to 10, or nothing"),
        ({"final_ratio": Decimal("10.1")}, "Final drive is 10.1; allowed is 0.3 to 10, or nothing"),
        ({"tyre": "fat one"}, "Tyre is "),
        (
            {"primary_ratio": Decimal(9), "final_ratio": Decimal(9)},
            "Reduction is 243; allowed is above 0, at most 100 crank turns for one of the wheel",
        ),
    ],
)
def test_what_no_machine_has_is_refused_in_one_sentence(given, sentence):
    with pytest.raises(BadInput) as refused:
        gearing_of(GEARED | given)
    assert refused.value.sentence.startswith(sentence)


@pytest.mark.parametrize("typed", ["2 2", "1 2 3", "0.2", "10.5", "three", "nan", "inf 1", "9 8 7 6 5 4 3 2 1", "-1"])
def test_gears_that_rise_are_too_many_or_no_figures_are_refused(typed):
    with pytest.raises(BadInput, match=r"^Gear ratios"):
        gears_of(typed)


def test_decimal_commas_and_commas_between_are_told_apart():
    assert gears_of("2,92 1,83 1") == gears_of("2.92, 1.83, 1") == (2.92, 1.83, 1.0)
