from __future__ import annotations

import numpy as np
import pytest

from garage.core.errors import BadInput
from jobs.core.runs.curve import PowerCurve, band_of, curve_of, peak_power, peak_torque

RPM = np.linspace(5003, 8999, 2000)
EVENLY = np.full(2000, 0.01)


def test_constant_torque_is_a_straight_line_of_power():
    """P = T·ω: 20 Nm at 9000 rpm are 18.8496 kW."""
    curve = curve_of(RPM, 20 * RPM * np.pi / 30, EVENLY, None)
    assert (curve.rpm[0], curve.rpm[-1]) == (5050, 8950)
    np.testing.assert_allclose(curve.torque_nm, 20, rtol=1e-4)
    assert peak_power(curve).rpm == 8950
    assert peak_power(curve).value == pytest.approx(20 * 8950 * np.pi / 30, rel=1e-5)


def test_constant_power_has_its_torque_at_the_lowest_revs():
    curve = curve_of(RPM, np.full(2000, 6000.0), EVENLY, None)
    assert {*curve.power_w} == {6000.0}
    assert peak_torque(curve).rpm == 5050


def test_more_readings_at_one_speed_do_not_weigh_more_than_their_time():
    rpm = np.concatenate([np.linspace(5000, 6000, 500), np.full(1000, 5500.0)])
    power = np.concatenate([np.full(500, 4000.0), np.full(1000, 9000.0)])
    seconds = np.concatenate([np.full(500, 0.01), np.full(1000, 1e-9)])
    assert max(curve_of(rpm, power, seconds, None).power_w) == pytest.approx(4000, abs=1)


def test_a_step_without_a_reading_is_crossed_by_a_straight_line():
    rpm = np.array([5000.0, 5050, 5300, 5350, 5400, 5450])
    curve = curve_of(rpm, rpm * 2, np.ones(6), np.full(6, 13.0))
    np.testing.assert_allclose(curve.power_w, 2 * np.array(curve.rpm))
    assert {*curve.air_fuel} == {13.0}


@pytest.mark.parametrize(
    ("revs", "sentence"),
    [
        (
            np.linspace(5000, 80_000, 50),
            "Engine speed is from 5,000 to 80,000 rpm; allowed is above 0, up to 30,000 rpm",
        ),
        (np.linspace(-5, 8000, 50), "Engine speed is from -5 to 8,000 rpm; allowed is above 0"),
        (np.linspace(5000, 5100, 50), "Engine speed is from 5,000 to 5,100 rpm only; allowed is a pull over 250 rpm"),
    ],
)
def test_revs_that_no_engine_has_are_one_sentence(revs, sentence):
    with pytest.raises(BadInput) as refused:
        curve_of(revs, np.ones(50), np.ones(50), None)
    assert refused.value.sentence.startswith(sentence)


@pytest.mark.parametrize(("watts", "found"), [(-5.0, "-0.005"), (0.0, "0"), (3e6, "3,000"), (1e16, "1e+13")])
def test_power_that_no_garage_measures_is_one_sentence(watts, found):
    with pytest.raises(BadInput) as refused:
        curve_of(RPM, np.full(2000, watts), EVENLY, None)
    assert refused.value.sentence.startswith(f"Power is {found} kW at most; allowed is above 0, up to 2,000 kW")


def test_repeat_runs_give_a_band():
    powers = ((10.0, 12.0), (11.0, 15.0), (12.0, 9.0))
    band = band_of([PowerCurve((5000, 5050), each) for each in powers])
    assert band is not None
    assert (band.lowest, band.mean, band.highest) == ((10.0, 9.0), (11.0, 12.0), (12.0, 15.0))


def test_runs_without_common_revs_have_no_band():
    assert band_of([PowerCurve((5000,), (1.0,)), PowerCurve((6000,), (1.0,))]) is None
