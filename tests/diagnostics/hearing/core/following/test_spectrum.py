"""Evidence for a firing rate: what is filtered, which frames are looked at, and what a comb finds in a pulse train."""

from itertools import pairwise

import numpy as np
import pytest

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.spectrum import (
    FRAMES,
    HALVED_RATE_HZ,
    Comb,
    Frame,
    Stream,
    _chunks,
    _shares,
    bend,
    combs,
    envelope_of,
    evidence,
    halved,
    rates_hz,
)
from diagnostics.hearing.core.following.teeth import NTHS

RATES = rates_hz(1.0)
SECOND = np.arange(limits.RATE_HZ) / limits.RATE_HZ


def tone(hz, amplitude=1.0):
    return (amplitude * np.sin(2 * np.pi * hz * SECOND)).astype(np.float32)


def pulses(turn, skips=1, weak=0.3):
    """A decaying ring at each whole turn; every one but each `skips`-th is weak."""
    whole = np.floor(turn)
    strong = np.where(whole % skips == 0, 1.0, weak)
    return (strong * np.exp(-(turn - whole) * 8) * np.sin(2 * np.pi * 7 * (turn - whole))).astype(np.float32)


def heard(samples):
    """The combs of a sound, and the evidence in its frames."""
    made = combs(halved(samples), envelope_of(samples), RATES)
    return made, evidence(made, round(len(samples) / limits.RATE_HZ / limits.HOP_S), len(RATES))


def place(hz):
    return int(np.argmin(np.abs(RATES - hz)))


def test_the_sound_at_half_its_rate_is_the_same_sound_at_the_same_time():
    at_half = halved(tone(300.0))
    assert (len(at_half), at_half.dtype) == (4000, np.float32)
    # Within one of the 8000 samples a second: 300 Hz turns by 2π · 300 / 8000 in it.
    assert at_half[50:-50] == pytest.approx(tone(300.0)[::2][50:-50], abs=2 * np.pi * 300 / 8000 + 0.01)
    assert np.abs(at_half[50:-50]).max() == pytest.approx(1.0, abs=0.01)
    assert len(halved(tone(300.0)[:7001])) == 3501


def test_what_half_the_rate_cannot_hold_is_gone():
    assert np.abs(halved(tone(3500.0))[50:-50]).max() < 0.01


def test_the_envelope_of_a_tone_is_the_root_of_its_mean_size():
    # The mean of |sin| is 2 / π. The band's edge is at 400 Hz: 1.7 kHz passes whole.
    envelope = envelope_of(tone(1730.0, 0.5))
    assert (len(envelope), envelope.dtype) == (2000, np.float32)
    assert envelope[200:-50].mean() == pytest.approx(np.sqrt(0.5 * 2 / np.pi), rel=0.02)
    assert envelope_of(tone(60.0))[200:-50].mean() < 0.2


def test_the_envelope_shows_a_burst_when_it_is():
    burst = np.where((SECOND >= 0.5) & (SECOND < 0.51), tone(1730.0), 0).astype(np.float32)
    envelope = envelope_of(burst)
    middle = float((np.arange(2000) * envelope**2).sum() / (envelope**2).sum())
    assert middle / 2000 == pytest.approx(0.505, abs=0.001)
    assert envelope[:950].max() < 0.05
    assert envelope[1150:].max() < 0.05


@pytest.mark.parametrize("hz", [12.0, 25.0, 50.0, 110.0, 220.0])
def test_a_pulse_train_gives_most_evidence_for_its_own_rate_and_that_of_an_engine(hz):
    _, seen = heard(pulses(np.arange(2 * limits.RATE_HZ) / limits.RATE_HZ * hz))
    assert (seen.shape, seen.dtype) == ((100, 1 + len(NTHS), len(RATES)), np.float32)
    inner = seen[30:70, 0]
    assert np.abs(inner.argmax(axis=1) - place(hz)).max() <= 1
    assert np.median(inner.max(axis=1)) > 1.0


def test_evidence_does_not_depend_on_loudness():
    sound = pulses(np.arange(2 * limits.RATE_HZ) / limits.RATE_HZ * 80.0)
    assert heard(sound * np.float32(100))[1][20:80] == pytest.approx(heard(sound)[1][20:80], abs=2e-3)


def test_a_constant_added_to_a_sound_changes_nothing():
    sound = pulses(np.arange(2 * limits.RATE_HZ) / limits.RATE_HZ * 80.0)
    assert heard(sound + np.float32(0.5))[1][20:80, 0] == pytest.approx(heard(sound)[1][20:80, 0], abs=0.05)


def test_noise_gives_the_evidence_of_noise():
    noise = np.random.default_rng(8).normal(size=6 * limits.RATE_HZ).astype(np.float32)
    seen = heard(noise)[1][20:-20, 0]
    assert seen.mean() == pytest.approx(limits.NOISE_EVIDENCE, abs=0.05)
    assert np.median(seen.mean(axis=0)) == pytest.approx(limits.NOISE_EVIDENCE, abs=0.05)


def test_evidence_follows_a_sound_within_a_few_frames():
    at_s = np.arange(2 * limits.RATE_HZ) / limits.RATE_HZ
    _, seen = heard(pulses(np.cumsum(np.where(at_s < 1, 90.0, 150.0)) / limits.RATE_HZ))
    assert np.abs(seen[:47, 0].argmax(axis=1)[5:] - place(90.0)).max() <= 1
    assert np.abs(seen[53:95, 0].argmax(axis=1) - place(150.0)).max() <= 1


@pytest.mark.parametrize("nth", NTHS)
def test_every_nth_turn_that_is_stronger_stands_out_at_the_rate_of_firings(nth):
    # 110 turns a second, of which every n-th fires: firings come at 110 / n.
    at_s = np.arange(2 * limits.RATE_HZ) / limits.RATE_HZ
    row = 1 + NTHS.index(nth)
    skipping = heard(pulses(at_s * 110.0, nth))[1][30:70, row, place(110.0 / nth)]
    slower = heard(pulses(at_s * 110.0 / nth))[1][30:70, row, place(110.0 / nth)]
    assert np.median(skipping) > np.median(slower) + 0.3


def test_a_frame_serves_the_rates_of_which_it_holds_enough_firings_and_all_are_served_once():
    shares = _shares(RATES)
    assert (shares[0][0], shares[-1][1]) == (0, len(RATES))
    assert all(one[1] == after[0] for one, after in pairwise(shares))
    for frame, (first, last) in list(zip(FRAMES, shares, strict=True))[1:]:
        if last > first:
            assert RATES[first] * frame.length_s >= limits.FIRINGS_A_FRAME
            assert RATES[first - 1] * frame.length_s < limits.FIRINGS_A_FRAME


def test_frames_are_taken_in_parts_and_none_is_left_out():
    parts = _chunks(np.arange(600))
    assert [len(part) for part in parts] == [256, 256, 88]
    assert np.concatenate(parts).tolist() == list(range(600))


def test_a_speed_that_changes_within_a_frame_is_found_by_bending_and_only_where_that_is_asked():
    at_s = np.arange(2 * limits.RATE_HZ) / limits.RATE_HZ
    hz = 40.0 * np.exp(2.5 * np.clip(at_s - 0.7, 0, 0.6))
    made, seen = heard(pulses(np.cumsum(hz) / limits.RATE_HZ))
    bent = seen.copy()
    asked = np.arange(40, 55)
    bend(made, asked, bent)
    assert (bent >= seen).all()
    assert (bent[:, 1:] == seen[:, 1:]).all()
    others = np.setdiff1d(np.arange(len(seen)), asked)
    assert (bent[others] == seen[others]).all()
    true = np.array([place(hz[round((frame + 0.5) * 160)]) for frame in asked])
    gained = bent[asked, 0, true] - seen[asked, 0, true]
    assert np.median(gained) > 0.15
    assert np.abs(bent[asked, 0].argmax(axis=1) - true).max() <= 2


def test_a_steady_speed_gains_nothing_by_bending():
    made, seen = heard(pulses(np.arange(2 * limits.RATE_HZ) / limits.RATE_HZ * 60.0))
    bent = seen.copy()
    bend(made, np.arange(40, 60), bent)
    assert bent[40:60, 0, place(60.0)] == pytest.approx(seen[40:60, 0, place(60.0)], abs=0.01)


def comb(hz=100.0, frame=FRAMES[2], teeth=8, samples=None):
    samples = pulses(SECOND * hz)[::2] if samples is None else samples
    return Comb((hz,), Stream(samples, HALVED_RATE_HZ, 45.0, 1700.0, teeth), frame, ())


def test_a_bent_frame_of_a_speed_that_changes_so_is_one_of_a_steady_speed():
    # A phase of f0 (e^(bt) - 1) / b about the middle is steady in the time (e^(bt) - 1) / b: definition of the warp.
    rate_b = 2.5
    at_s = np.arange(HALVED_RATE_HZ) / HALVED_RATE_HZ - 0.5
    changing = np.sin(2 * np.pi * 60.0 * (np.exp(rate_b * at_s) - 1) / rate_b).astype(np.float32)
    steady = np.sin(2 * np.pi * 60.0 * at_s).astype(np.float32)
    centre = np.array([HALVED_RATE_HZ // 2])
    bent = comb(samples=changing)._bent(centre, rate_b)
    assert bent.shape == (1, comb().length)
    assert bent == pytest.approx(comb(samples=steady)._bent(centre, 0.0), abs=0.02)
    assert not np.allclose(comb(samples=changing)._bent(centre, 0.0), bent, atol=0.2)


def test_a_frame_has_its_moment_in_its_middle():
    sound = np.zeros(HALVED_RATE_HZ, np.float32)
    sound[1000] = 1.0
    made = comb(samples=sound)
    for bends in (0.0, 1e-9):
        assert made._bent(np.array([1000]), bends)[0].argmax() == made.length // 2


def test_frames_that_are_computed_seldom_stand_for_their_neighbours():
    seldom = Frame(0.512, (), 4, is_low=True)
    made = comb(frame=seldom)
    seen = made.seen(np.arange(12), (0.0,), made.weights)
    assert seen.shape[:2] == (1, 12)
    for start in (0, 4, 8):
        assert (seen[0, start : start + 4] == seen[0, start]).all()
    assert made.seen(np.array([9]), (0.0,), made.weights)[0, 0] == pytest.approx(seen[0, 8])
