"""Exact units. Sources beside each value."""

from __future__ import annotations

from fractions import Fraction

import pytest

from jobs.core.runs.units import POWER, PRESSURE, SPEED, TEMPERATURE, TORQUE

FT, LB, G = Fraction("0.3048"), Fraction("0.45359237"), Fraction("9.80665")


@pytest.mark.parametrize(
    ("quantity", "symbol", "exact"),
    [
        pytest.param(POWER, "hp", 550 * FT * LB * G, id="mechanical horsepower: 550 ft·lbf/s"),
        pytest.param(POWER, "PS", 75 * G, id="metric horsepower: 75 kgf·m/s"),
        pytest.param(TORQUE, "lbf·ft", FT * LB * G, id="pound-force foot"),
        pytest.param(SPEED, "mph", Fraction("1.609344"), id="international mile"),
        pytest.param(SPEED, "m/s", Fraction("3.6"), id="3600 s in an hour"),
        pytest.param(PRESSURE, "inHg", Fraction("13595.1") * G * Fraction("0.0254") / 100, id="inch of mercury, 0 °C"),
        pytest.param(PRESSURE, "bar", Fraction(1000), id="bar"),
    ],
)
def test_a_factor_is_the_exact_one_to_the_last_digits(quantity, symbol, exact):
    assert quantity.unit(symbol).scale == pytest.approx(float(exact), rel=4e-16)


@pytest.mark.parametrize(  # reference sheet, recomputed there with pint 0.25.3
    ("value", "of", "to", "expected"),
    [
        (1.0, "kW", "hp", 1.341022),
        (1.0, "kW", "PS", 1.359622),
        (1.0, "hp", "PS", 1.01386967),
        (50.0, "hp", "PS", 50.693),
    ],
)
def test_power_goes_from_one_unit_to_another_as_pint_does(value, of, to, expected):
    assert POWER.unit(of).to_own(value) / POWER.unit(to).scale == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(32, 0), (212, 100), (-40, -40), (68, 20)])
def test_fahrenheit_has_its_fixed_points(fahrenheit, celsius):
    assert TEMPERATURE.unit("°F").to_own(fahrenheit) == pytest.approx(celsius, abs=1e-12)


def test_a_unit_of_another_quantity_is_none_of_this_one():
    with pytest.raises(KeyError):
        POWER.unit("Nm")
