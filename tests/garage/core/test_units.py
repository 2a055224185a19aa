"""Conversions against an outside unit library's figures and definitions (reference sheet, sections 1 and 2)."""

import math

import pytest

from garage.core import units


# Reference sheet, recomputed with the pint library: 1 kW = 1.341022 hp = 1.359622 PS; hp/PS 1.01386967.
def test_kilowatts_in_both_horsepowers():
    assert round(units.hp(1), 6) == 1.341022
    assert round(units.ps(1), 6) == 1.359622
    assert round(units.W_PER_HP / units.W_PER_PS, 8) == 1.01386967


# Definitions: 75 kgf m/s; 550 ft lbf/s with the foot of 0.3048 m and the pound of 0.45359237 kg.
def test_horsepowers_follow_from_their_definitions():
    assert pytest.approx(75 * units.STANDARD_GRAVITY, rel=1e-15) == units.W_PER_PS
    assert pytest.approx(550 * 0.3048 * 0.45359237 * units.STANDARD_GRAVITY, rel=1e-15) == units.W_PER_HP


# Reference sheet: 20 Nm at 9000 is 18.8496 kW; kW = Nm rpm / 9549.297.
def test_power_of_a_torque():
    assert round(units.kilowatts(20, 9000), 4) == 18.8496
    assert units.kilowatts(1, 9549.297) == pytest.approx(1, rel=1e-7)
    assert units.radians_per_second(60) == pytest.approx(2 * math.pi)


# Reference sheet, section 1: 990 hPa is 29.2347 inHg.
def test_pressures_temperatures_lengths():
    assert units.hectopascals(29.2347) == pytest.approx(990, abs=0.002)
    assert units.celsius(32) == 0
    assert units.celsius(212) == pytest.approx(100)
    assert units.kelvin(20) == 293.15
    assert units.millimetres(18) == pytest.approx(457.2)
