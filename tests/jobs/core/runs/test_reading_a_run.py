from __future__ import annotations

import numpy as np
import pytest

from garage.core.errors import BadInput
from jobs.core.runs.logger.column_names import HOLDS
from jobs.core.runs.reading_a_run import FROM_ROLLERS, FROM_TORQUE, LOGGED, AskedOfFile, read_run
from jobs.core.runs.rollers import Rollers

DRUM = Rollers(6.25, 500)
T = np.arange(0, 5, 0.01)


def logged(names: str, *columns: np.ndarray) -> bytes:
    """names: the lines above, without their last end."""
    return (
        names + "\n" + "\n".join(";".join(f"{cell:.5f}" for cell in row) for row in zip(*columns, strict=True))
    ).encode()


def asked(*keys: str, **given: object) -> AskedOfFile:
    columns = {index: HOLDS[key] for index, key in enumerate(keys) if key}
    return AskedOfFile(columns, **{"rollers": DRUM, "window_s": 0.1, **given})


def refusal(raw: bytes, ask: AskedOfFile) -> str:
    with pytest.raises(BadInput) as refused:
        read_run(raw, ask)
    return refused.value.sentence


def test_road_speed_over_time_gives_power_and_revs_by_the_gearing():
    """60 to 110 km/h evenly: 69.4444 Nm at the roller; 90 rpm for each km/h."""
    read = read_run(logged("Time;Speed\ns;km/h", T, 60 + 10 * T), asked("time:s", "speed:km/h", rpm_per_km_h=90.0))
    assert (read.how, read.lost_w, read.curve.rpm[-1]) == (FROM_ROLLERS, None, 9850)
    at_100 = read.curve.power_w[read.curve.rpm.index(9000)]
    assert at_100 == pytest.approx(7716.05, rel=1e-4)


def test_the_rollers_turns_give_the_same():
    turns = (60 + 10 * T) / 3.6 / 0.25 * 30 / np.pi
    read = read_run(logged("t;drum", T, turns), asked("time:s", "roller:rpm", rpm_per_km_h=90.0))
    assert read.curve.power_w[read.curve.rpm.index(9000)] == pytest.approx(7716.05, rel=1e-4)


def test_a_column_of_revs_goes_before_the_gearing_and_air_fuel_comes_along():
    columns = (T, 60 + 10 * T, 80 * (60 + 10 * T), 12 + T / 10)
    read = read_run(
        logged("t;v;n;a", *columns), asked("time:s", "speed:km/h", "revs:rpm", "air-fuel:AFR", rpm_per_km_h=1.0)
    )
    assert read.curve.power_w[read.curve.rpm.index(8000)] == pytest.approx(7716.05, rel=1e-4)
    assert read.curve.air_fuel[read.curve.rpm.index(8000)] == pytest.approx(12.4, abs=0.01)


@pytest.mark.parametrize(
    ("key", "scale"), [("power:kW", 1.0), ("power:hp", 0.74569987158227), ("power:PS", 0.73549875)]
)
def test_logged_power_is_taken_in_its_unit(key, scale):
    rpm = np.linspace(5000, 9000, 300)
    read = read_run(logged("n;P", rpm, rpm / 1000), asked("revs:rpm", key))
    assert (read.how, read.curve.power_w[read.curve.rpm.index(8000)]) == (LOGGED, pytest.approx(8000 * scale, rel=1e-4))


def test_torque_alone_gives_power():
    rpm = np.linspace(5000, 9000, 300)
    read = read_run(logged("n;M", rpm, np.full(300, 14.75)), asked("revs:rpm", "torque:lbf·ft"))
    assert read.how == FROM_TORQUE
    np.testing.assert_allclose(read.curve.torque_nm, 14.75 * 1.3558179483314, rtol=1e-4)


def test_power_and_torque_that_contradict_each_other_are_refused():
    rpm = np.linspace(5000, 9000, 300)
    torque = np.full(300, 20.0)
    raw = logged("n;M;P", rpm, torque, torque * rpm * np.pi / 30_000)
    assert read_run(raw, asked("revs:rpm", "torque:Nm", "power:kW")).how == LOGGED
    said = refusal(raw, asked("revs:rpm", "torque:lbf·ft", "power:kW"))
    assert said.startswith("Torque × revs is 1.36 times the power; allowed is the same: the unit of one of the columns")


def test_a_unit_other_than_the_files_own_is_refused():
    rpm = np.linspace(5000, 9000, 300)
    said = refusal(logged("Revs;Power [kW]", rpm, rpm / 1000), asked("revs:rpm", "power:hp"))
    assert said == (
        "Column 2, Power is 'hp'; allowed is kW, as the file says; if its line of units is wrong, mend that first."
    )


def test_time_that_falls_is_named_with_its_line():
    time_s = T.copy()
    time_s[200] = 1.5
    said = refusal(logged("t;v", time_s, 60 + 10 * T), asked("time:s", "speed:km/h", rpm_per_km_h=90.0))
    assert said == "Line 202, time is 1.5 s after 1.99 s; allowed is a time that never falls: one run in a file."


def test_a_coarse_clock_may_say_the_same_time_twice():
    time_s = np.floor(T * 50) / 50
    read = read_run(logged("t;v", time_s, 60 + 10 * time_s), asked("time:s", "speed:km/h", rpm_per_km_h=90.0))
    assert read.curve.power_w[read.curve.rpm.index(9000)] == pytest.approx(7716.05, rel=1e-3)


@pytest.mark.parametrize(
    ("ask", "sentence"),
    [
        (asked("time:s", "revs:rpm"), "What the power comes from is missing; allowed is power or torque, or time with"),
        (asked("time:s", "speed:km/h"), "Engine speed is missing; allowed is a column of them, or reduction and tyre"),
        (
            asked("speed:km/h", "speed:mph"),
            "The column of road speed is chosen twice; allowed is one column of each kind.",
        ),
        (asked("time:s", "speed:km/h", rollers=None, rpm_per_km_h=90.0), "Inertia is missing; allowed is the rollers’"),
        (asked("time:s", "", "", "power:kW"), "Column is 4; allowed is 1 to 2."),
        (asked("time:s", "speed:km/h", rpm_per_km_h=90.0, window_s=-1.0), "Smoothing is -1; allowed is 0 to 2 s."),
        (asked("time:s", "power:kW"), "Engine speed is missing"),
    ],
)
def test_what_is_not_enough_is_one_sentence(ask, sentence):
    assert refusal(logged("t;v", T, 60 + 10 * T), ask).startswith(sentence)


def test_added_losses_are_stated():
    k, falling = 0.05, np.arange(0, 10, 0.01)
    speed = np.concatenate([60 + 10 * T, 110 * np.exp(-k * falling)])
    time_s = np.concatenate([T, 5 + falling])
    read = read_run(logged("t;v", time_s, speed), asked("time:s", "speed:km/h", rpm_per_km_h=90.0, adds_losses=True))
    lost_at_top = 6.25 * k * (109.9 / 0.9) ** 2
    assert read.lost_w == pytest.approx(lost_at_top, rel=0.02)
