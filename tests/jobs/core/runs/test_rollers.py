"""Runs with answers in closed form."""

from __future__ import annotations

import numpy as np
import pytest

from garage.core.errors import BadInput
from jobs.core.runs.rollers import Rollers, check_window, pull_of, roller_pull

DRUM = Rollers(6.25, 500)  # a drum of 200 kg, solid: ½ · 200 · 0.25² = 6.25 kg·m²
T = np.arange(0, 4.0001, 0.01)


def pull(time_s=T, speed=None, *, rollers=DRUM, window_s=0.2, adds_losses=False):
    return roller_pull(time_s, speed, rollers, window_s=window_s, adds_losses=adds_losses)


def test_a_drum_from_60_to_100_km_h_in_4_s_is_the_worked_example():
    """Reference sheet: α 2.7778 rad/s² · 4 → at 100 km/h ω 111.1111, T 69.4444 Nm, P 7.71605 kW; mean 6.17284 kW."""
    speed = DRUM.turning(60 + 10 * T)
    made = pull(speed=speed)
    np.testing.assert_allclose(made.power_w / made.speed, 69.4444, rtol=2e-6)
    assert made.power_w[-1] == pytest.approx(7716.05, rel=2e-3)  # half a reading before 100 km/h
    whole = float(made.power_w @ made.seconds)
    first = speed[np.searchsorted(T, made.time_s[0] - 0.0051)]
    assert whole == pytest.approx(0.5 * 6.25 * (speed[-1] ** 2 - first**2), rel=1e-9)
    assert float(made.power_w @ made.seconds) / made.seconds.sum() == pytest.approx(
        whole / (4 - made.time_s[0] + 0.005)
    )


def test_constant_power_comes_out_constant():
    """ω² = ω0² + 2Pt/I: P 5000 W."""
    made = pull(speed=np.sqrt(60.0**2 + 2 * 5000 * T / 6.25))
    np.testing.assert_allclose(made.power_w[20:-20], 5000, rtol=3e-4)  # a window of each end bends with its speed
    np.testing.assert_allclose(made.power_w, 5000, rtol=2e-2)


@pytest.mark.parametrize("window_s", [0, 0.05, 0.2, 0.7])
def test_energy_is_that_of_the_smoothed_ends_whatever_the_smoothing(window_s):
    """The mean power times the time is ½ · I · (ω₂² − ω₁²) to rounding."""
    chance = np.random.default_rng(3)
    speed = np.sqrt(60.0**2 + 1600 * T) + chance.normal(0, 0.02, len(T))
    made = pull(speed=speed, window_s=window_s)
    change = np.diff(np.concatenate([[0.0], np.cumsum(made.power_w * made.seconds)]))
    assert float(made.power_w @ made.seconds) == pytest.approx(float(change.sum()), rel=1e-12)
    first, last = made.speed[0] * 2, made.speed[-1] * 2
    step_first = made.power_w[0] * made.seconds[0] / (DRUM.inertia_kg_m2 * made.speed[0])
    step_last = made.power_w[-1] * made.seconds[-1] / (DRUM.inertia_kg_m2 * made.speed[-1])
    began, ended = (first - step_first) / 2, (last + step_last) / 2
    whole = 0.5 * DRUM.inertia_kg_m2 * (ended**2 - began**2)
    assert float(made.power_w @ made.seconds) == pytest.approx(whole, rel=1e-9)


def test_an_exponential_run_down_gives_back_the_drag():
    """While dω/dt = −kω the drag is I·k·ω: with 8000 W at the tyre and that drag, 8000 W come out again."""
    k, rising, falling = 0.05, np.arange(0, 6, 0.01), np.arange(6, 26, 0.01)
    squared = 60.0**2 * np.exp(-2 * k * rising) + 8000 / (6.25 * k) * (1 - np.exp(-2 * k * rising))
    top = np.sqrt(squared[-1])
    speed = np.concatenate([np.sqrt(squared), top * np.exp(-k * (falling - falling[0]))])
    time_s = np.concatenate([rising, falling])
    with_losses = pull(time_s, speed, adds_losses=True, window_s=0.1)
    inside = slice(20, -20)
    np.testing.assert_allclose(with_losses.power_w[inside], 8000, rtol=2e-3)
    np.testing.assert_allclose(with_losses.lost_w[inside], (6.25 * k * with_losses.speed**2)[inside], rtol=2e-3)
    without = pull(time_s, speed, window_s=0.1)
    np.testing.assert_allclose(without.power_w + with_losses.lost_w, with_losses.power_w)
    assert not without.lost_w.any()


def test_noise_of_the_pickup_hardly_moves_the_power():
    chance = np.random.default_rng(7)
    made = pull(speed=np.sqrt(60.0**2 + 1600 * T) + chance.normal(0, 0.03, len(T)))
    tenths = made.power_w[: len(made.power_w) // 10 * 10].reshape(-1, 10).mean(axis=1)
    np.testing.assert_allclose(tenths, 5000, rtol=0.05)


def test_the_pull_begins_after_the_steady_hold_and_ends_at_the_top():
    rising = np.concatenate([np.full(100, 50.0), np.linspace(50, 100, 101), np.linspace(100, 20, 50)])
    begins, highest = pull_of(rising)
    assert highest == 200
    assert 100 <= begins <= 106


def test_of_two_pulls_the_faster_one_counts():
    one, two = np.linspace(50, 90, 100), np.linspace(50, 100, 100)
    begins, highest = pull_of(np.concatenate([one, np.linspace(90, 50, 30), two]))
    assert (highest, begins >= 130) == (229, True)


@pytest.mark.parametrize("speed", [np.full(401, 80.0), np.linspace(100, 60, 401), np.linspace(95, 100, 401)])
def test_a_file_without_a_pull_is_refused(speed):
    with pytest.raises(BadInput, match=r"^The file is without a pull"):
        pull(speed=speed)


def test_losses_need_a_run_down():
    with pytest.raises(BadInput, match=r"^The run-down is missing; allowed is a file that goes on after the pull"):
        pull(speed=60 + 11 * T, adds_losses=True)


@pytest.mark.parametrize(
    ("inertia", "diameter", "sentence"),
    [
        (-6.25, 500, "Inertia is -6.25; allowed is 0.01 to 1000 kg·m², as on the rollers’ plate or from a fall test."),
        (0, 500, "Inertia is 0; allowed is 0.01 to 1000 kg·m², as on the rollers’ plate or from a fall test."),
        (
            float("nan"),
            500,
            "Inertia is nan; allowed is 0.01 to 1000 kg·m², as on the rollers’ plate or from a fall test.",
        ),
        (6.25, 0.5, "Diameter is 0.5; allowed is 50 to 3000 mm."),
    ],
)
def test_rollers_that_cannot_be_are_one_sentence(inertia, diameter, sentence):
    with pytest.raises(BadInput) as refused:
        Rollers(inertia, diameter)
    assert refused.value.sentence == sentence


def test_a_window_has_its_limits():
    check_window(0)
    check_window(2)
    with pytest.raises(BadInput, match=r"^Smoothing is -0.1; allowed is 0 to 2 s"):
        check_window(-0.1)
