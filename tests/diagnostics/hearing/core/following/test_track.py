"""Engine speed: tones of known frequency, skipping patterns, noise; the frequency bound of Rife and Boorstyn 1974."""

import numpy as np
import pytest

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.spectrum import rates_hz
from diagnostics.hearing.core.following.track import follow


def stacked(firing_hz, seconds=3.0, harmonics=10, first=1, noise=0.0, seed=1):
    """A sum of harmonics, falling with their order, of a firing rate given at every sample or once for all."""
    count = int(seconds * limits.RATE_HZ)
    phase = 2 * np.pi * np.cumsum(np.broadcast_to(firing_hz, count)) / limits.RATE_HZ
    sound = sum(np.cos(k * phase + k) / k for k in range(first, harmonics + 1))
    sound = sound + noise * np.random.default_rng(seed).normal(size=count)
    return (sound / np.abs(sound).max()).astype(np.float32)


@pytest.mark.parametrize(
    ("rpm", "fires_per_turn"),
    [(1500, 1.0), (3000, 1.0), (7200, 1.0), (11111, 1.0), (6000, 2.0), (8000, 0.5), (2400, 0.5)],
)
def test_speed_of_pure_tones_is_right_to_a_twentieth_of_a_percent(rpm, fires_per_turn):
    # Firing frequency = turns a second × firings a turn: definition.
    track = follow(stacked(rpm / 60 * fires_per_turn), fires_per_turn)
    assert np.median(track.rpm[20:-20]) == pytest.approx(rpm, rel=5e-4)
    assert np.abs(track.rpm[30:-30] / rpm - 1).max() < 3e-3


def test_a_missing_fundamental_does_not_double_the_speed():
    track = follow(stacked(100.0, first=3), 1.0)
    assert np.median(track.rpm) == pytest.approx(6000, rel=1e-3)


def test_a_quick_climb_is_followed():
    seconds = np.arange(3 * limits.RATE_HZ) / limits.RATE_HZ
    true_hz = 30 * np.exp(np.clip(seconds - 1, 0, 0.8) / 0.8 * np.log(5))
    track = follow(stacked(true_hz), 1.0)
    moments = (np.arange(len(track.rpm)) + 0.5) * 0.01
    true = np.interp(moments, seconds, true_hz) * 60
    assert np.median(np.abs(track.rpm / true - 1)) < 2e-3
    assert np.mean(np.abs(track.rpm / true - 1) < 0.03) > 0.97


@pytest.mark.parametrize("nth", [2, 3, 4])
@pytest.mark.parametrize("idle_hz", [27, 30, 33])
def test_skipping_turns_evenly_is_not_a_slower_engine(idle_hz, nth):
    seconds = np.arange(4 * limits.RATE_HZ) / limits.RATE_HZ
    turn_hz = idle_hz + (120 - idle_hz) * np.clip((seconds - 1) / 0.8, 0, 1)
    turn = np.cumsum(turn_hz) / limits.RATE_HZ
    whole = np.floor(turn)
    fires = (seconds < 2.3) | (whole % nth == 0)
    pulse = np.exp(-(turn - whole) * 6) * np.sin(2 * np.pi * 6 * (turn - whole))
    sound = ((fires + 0.1) * pulse).astype(np.float32) + 0.01 * np.random.default_rng(3).normal(size=len(pulse)).astype(
        np.float32
    )
    track = follow(sound, 1.0)
    late = slice(280, 390)
    assert np.median(track.rpm[late]) == pytest.approx(7200, rel=0.01)


def test_noise_gives_little_evidence_and_an_engine_much():
    noise = np.random.default_rng(5).normal(size=3 * limits.RATE_HZ).astype(np.float32)
    assert np.median(follow(noise / 5, 1.0).evidence) < 0.75
    assert np.median(follow(stacked(110.0, noise=0.3), 1.0).evidence) > 0.9


def test_the_error_in_noise_lies_above_the_bound_and_within_four_times_of_it():
    # Rife & Boorstyn, IEEE Trans. IT-20 (1974): var(f) ≥ 12 fs²/((2π)² η N(N²−1)), η = A²/(2σ²), from memory. For
    # harmonics of one rate η is the sum of k² A_k²/(2σ²): information adds up, a harmonic's frequency is k rates.
    hz, sigma, window = 120.0, 0.5, round(0.05 * limits.RATE_HZ)
    heard = []
    for seed in range(4):
        sound = stacked(hz, 3.0, 6, 1, sigma, seed)
        heard += list(follow(sound, 1.0).firing_hz[40:-40:5])
    strength = sum((k * (1 / k)) ** 2 / (2 * sigma**2) for k in range(1, 7))
    bound_hz = np.sqrt(12 * limits.RATE_HZ**2 / ((2 * np.pi) ** 2 * strength * window * (window**2 - 1)))
    spread_hz = np.sqrt(np.mean((np.array(heard) - hz) ** 2))
    assert 0.5 * bound_hz < spread_hz < 4 * bound_hz


def test_candidates_reach_from_tickover_to_the_fastest_engine():
    rates = rates_hz(2.0)
    assert rates[0] == pytest.approx(20.0)
    assert rates[-1] == pytest.approx(533, rel=0.02)
