"""The firing rate by phase: harmonics turned back along the path stand still where the path is right."""

import numpy as np
import pytest

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.phase import (
    WIDTHS,
    _lines,
    _one_turn,
    _Source,
    _turning,
    _widths_of,
    _windowed,
    refined,
)
from diagnostics.hearing.core.following.spectrum import HALVED_RATE_HZ

SOUND_HZ, ENVELOPE_HZ = HALVED_RATE_HZ, limits.ENVELOPE_RATE_HZ
BLOCKS = 100


def tones(hz, rate_hz, orders=(1,), amplitude=1.0):
    """A second of cosines at multiples of a rate."""
    at_s = np.arange(rate_hz) / rate_hz
    return sum(amplitude * np.cos(2 * np.pi * k * hz * at_s) for k in orders).astype(np.float32)


def along(hz):
    return np.full(BLOCKS, float(hz))


@pytest.mark.parametrize("true_hz", [40.0, 100.0, 200.0])
@pytest.mark.parametrize("off", [0.99, 0.997, 1.003, 1.01])
def test_a_rate_a_little_off_is_put_right(true_hz, off):
    sound, envelope = tones(true_hz, SOUND_HZ, (1, 2, 3)), tones(true_hz, ENVELOPE_HZ, (1, 2))
    found = refined(sound, envelope, along(true_hz * off))
    assert found[20:-20] == pytest.approx(along(true_hz)[20:-20], rel=5e-4)


@pytest.mark.parametrize("heard", ["sound", "envelope"])
def test_sound_or_envelope_alone_puts_it_right(heard):
    silence = np.zeros(SOUND_HZ, np.float32), np.zeros(ENVELOPE_HZ, np.float32)
    sound = tones(100.0, SOUND_HZ, (1, 2)) if heard == "sound" else silence[0]
    envelope = tones(100.0, ENVELOPE_HZ, (1, 2)) if heard == "envelope" else silence[1]
    assert refined(sound, envelope, along(100.5))[20:-20] == pytest.approx(along(100.0)[20:-20], rel=5e-4)


def test_silence_moves_nothing_and_no_tone_moves_the_rate_further_than_to_the_next_candidates():
    silent = np.zeros(SOUND_HZ, np.float32), np.zeros(ENVELOPE_HZ, np.float32)
    assert refined(*silent, along(100.0)) == pytest.approx(along(100.0))
    for true_hz in (95.0, 105.0):
        found = refined(tones(true_hz, SOUND_HZ), tones(true_hz, ENVELOPE_HZ), along(100.0))
        assert np.abs(found / 100.0 - 1).max() <= limits.REFINED_AT_MOST + 1e-9


def test_a_higher_order_tells_the_rate_more_exactly_so_it_counts_more():
    # The same error in Hz of a line is a third of it in the rate at the third order; variances add up inversely.
    sound = (tones(100.0, SOUND_HZ) + tones(303.0, SOUND_HZ)).astype(np.float32)
    silence = np.zeros(ENVELOPE_HZ, np.float32)
    found = refined(sound, silence, along(100.5))[30:-30]
    assert np.median(found) == pytest.approx((1 * 100.0 + 9 * 101.0) / 10, abs=0.05)


def test_a_sound_may_end_before_the_path_does():
    sound, envelope = tones(100.0, SOUND_HZ)[:2000], tones(100.0, ENVELOPE_HZ)[:1000]
    found = refined(sound, envelope, along(100.5))
    assert found[10:40] == pytest.approx(along(100.0)[10:40], rel=5e-4)
    assert len(found) == BLOCKS


def test_a_harmonic_has_half_its_amplitude_and_its_share_of_the_power_and_none_outside_the_band():
    # cos = (e^iφ + e^-iφ) / 2: the line is half the amplitude, its power a half of the cosine's A² / 2.
    source = _Source(tones(100.0, SOUND_HZ, amplitude=2.0) + 5, SOUND_HZ, 3, 45.0, 250.0)
    lines, strengths = _lines(source, along(100.0), np.full(BLOCKS, 5))
    assert np.abs(lines[0, 10:-10]) == pytest.approx(1.0, abs=1e-3)
    assert strengths[0, 10:-10] == pytest.approx(0.5, abs=1e-3)
    assert np.abs(lines[1, 10:-10]).max() < 1e-3
    both = _Source(tones(100.0, SOUND_HZ, (1, 2, 3)), SOUND_HZ, 3, 150.0, 250.0)
    _, strengths = _lines(both, along(100.0), np.full(BLOCKS, 5))
    assert strengths[:, 50] == pytest.approx([0, 1 / 6, 0], abs=1e-3)


def test_one_turn_turns_the_first_harmonic_back():
    at_s = (np.arange(ENVELOPE_HZ) + 1) / ENVELOPE_HZ
    once = _one_turn(along(30.0), ENVELOPE_HZ)
    assert len(once) == ENVELOPE_HZ
    assert once == pytest.approx(np.exp(-2j * np.pi * 30.0 * at_s), abs=1e-3)
    # A rate that grows from 20 to 40 Hz evenly, its middles of blocks at 20.1, 20.3 and so on: 20 t + 10 t² turns.
    grows = _one_turn(20.1 + 0.2 * np.arange(BLOCKS), ENVELOPE_HZ)
    grown = np.angle(grows * np.exp(2j * np.pi * (20 + 10 * at_s) * at_s))
    assert np.abs(grown[20:-20]).max() < 0.15


def test_how_fast_a_phase_turns_is_told_at_every_block_and_in_hertz():
    turns_hz = 3.0
    lines = np.exp(2j * np.pi * turns_hz * limits.BLOCK_S * np.arange(6))[None, :].astype(np.complex64)
    assert _turning(lines) == pytest.approx(np.full((1, 6), turns_hz), rel=1e-4)
    assert _turning(lines).dtype == np.float32
    assert _turning(lines[:, :3]) == pytest.approx(np.full((1, 3), turns_hz), rel=1e-4)
    assert _turning(lines[:, :2]).tolist() == [[0.0, 0.0]]


def test_a_window_weighs_as_a_triangle_and_its_weights_add_up_to_one():
    values = np.arange(60.0)[None, :] * 2 + 5
    for width in WIDTHS.tolist():
        inside = _windowed(values, np.full(60, width))[0, width:-width]
        assert inside == pytest.approx(values[0, width:-width])
    one = np.zeros((1, 60))
    one[0, 30] = 1.0
    for width in WIDTHS.tolist():
        heights = np.maximum(width - np.abs(np.arange(60) - 30), 0) / width**2
        assert _windowed(one, np.full(60, width))[0] == pytest.approx(heights, abs=1e-9)


def test_a_window_is_the_narrowest_that_holds_four_firings():
    # Widths in blocks of 10 ms: 3 hold four firings from 133 Hz on, 5 from 80 Hz, 9 from 44.4 Hz.
    rates_hz = np.array([300.0, 134.0, 132.0, 81.0, 79.0, 45.0, 44.0, 5.0])
    assert _widths_of(rates_hz).tolist() == [3, 3, 5, 5, 9, 9, 17, 17]
