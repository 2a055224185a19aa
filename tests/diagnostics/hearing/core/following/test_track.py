"""Engine speed: tones of known frequency, skipping patterns, noise; the frequency bound of Rife and Boorstyn 1974."""

from itertools import product

import numpy as np
import pytest

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.spectrum import rates_hz
from diagnostics.hearing.core.following.track import (
    NEVER,
    STEPS,
    _bar_fast,
    _bar_slow,
    _between,
    _capped,
    _coarser,
    _halves_in,
    _near,
    _raise,
    _standing_in,
    best_path,
    follow,
    patterned,
)


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


def test_what_fires_plainly_far_below_its_own_tickover_skips_turns():
    seconds = np.arange(4 * limits.RATE_HZ) / limits.RATE_HZ
    turn = np.cumsum(22 + 30 * np.clip((seconds - 1) / 0.5, 0, 1)) / limits.RATE_HZ
    whole = np.floor(turn)
    fires = (seconds < 1.4) | (whole % 4 == 0)
    pulse = np.exp(-(turn - whole) * 6) * np.sin(2 * np.pi * 6 * (turn - whole))
    noise = 0.01 * np.random.default_rng(3).normal(size=len(pulse))
    track = follow(((fires + 0.05) * pulse + noise).astype(np.float32), 1.0)
    assert np.median(track.rpm[:90]) == pytest.approx(22 * 60, rel=0.01)
    assert np.median(track.rpm[200:390]) == pytest.approx(52 * 60, rel=0.01)
    assert np.median(track.evidence[200:390]) > limits.ENDS_FROM


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


def best_of_all(given):
    """The total of the best path, by going along all of them."""
    frames, ways, count = given.shape
    best = -np.inf
    for places in product(range(count), repeat=frames):
        for patterns in product(range(ways), repeat=frames):
            total = sum(given[frame, patterns[frame], places[frame]] for frame in range(frames))
            total -= limits.BEGINS_COSTS * (patterns[0] > 0)
            total -= limits.CHANGE_COSTS * np.count_nonzero(np.diff(patterns))
            moves = np.diff(places)
            if (moves <= STEPS[0]).all() and (moves >= -STEPS[1]).all():
                best = max(best, total - limits.STEP_COSTS * np.abs(moves).sum())
    return best


def total_of(given, path, pattern):
    total = sum(given[frame, pattern[frame], path[frame]] for frame in range(len(path)))
    changes = limits.CHANGE_COSTS * np.count_nonzero(np.diff(pattern)) + limits.BEGINS_COSTS * (pattern[0] > 0)
    return total - changes - limits.STEP_COSTS * np.abs(np.diff(path)).sum()


@pytest.mark.parametrize("scale", [0.5, 8.0])
@pytest.mark.parametrize("seed", range(3))
def test_the_path_is_the_best_of_all_that_an_engine_can_take(seed, scale):
    given = scale * np.random.default_rng(seed).normal(size=(3, 2, 8)).astype(np.float32)
    path, pattern = best_path(given)
    moves = np.diff(path)
    assert ((moves <= STEPS[0]) & (moves >= -STEPS[1])).all()
    assert total_of(given, path, pattern) == pytest.approx(best_of_all(given), abs=1e-4)


def test_the_speed_rises_and_falls_no_faster_than_an_engine_s():
    # 6 units of ln speed a second are 9.6 candidates of 0.0125 a frame of 20 ms, 2.5 are 4: limits of the table.
    for rises, most in ((True, 10), (False, 4)):
        given = np.zeros((120, 1, 120), np.float32)
        given[:60, 0, 10 if rises else 110] = given[60:, 0, 110 if rises else 10] = 3.0
        path, _ = best_path(given)
        moves = np.diff(path) * (1 if rises else -1)
        assert moves.max() == most
        assert (path[0], path[-1]) == ((10, 110) if rises else (110, 10))


def test_a_path_may_be_sought_among_candidates_that_move_with_the_frames():
    rng = np.random.default_rng(6)
    whole = rng.normal(size=(12, 2, 60)).astype(np.float32)
    starts = np.array([3, 5, 9, 14, 20, 20, 18, 15, 12, 12, 11, 10])
    part = np.stack([row[:, start : start + 17] for row, start in zip(whole, starts, strict=True)])
    open_elsewhere = np.full_like(whole, -1e6)
    for row, start in zip(range(12), starts.tolist(), strict=True):
        open_elsewhere[row, :, start : start + 17] = whole[row, :, start : start + 17]
    found, wanted = best_path(part, starts), best_path(open_elsewhere)
    assert found[0].tolist() == wanted[0].tolist()
    assert found[1].tolist() == wanted[1].tolist()


def test_candidates_near_a_path_are_those_to_both_sides_and_none_lies_outside():
    given = np.arange(3 * 1 * 30, dtype=np.float32).reshape(3, 1, 30)
    near, starts = _near(given, np.array([2, 15, 29]))
    assert starts.tolist() == [-6, 7, 21]
    assert near.shape == (3, 1, 17)
    assert near[1, 0].tolist() == given[1, 0, 7:24].tolist()
    assert (near[0, 0, :6] == NEVER).all()
    assert near[0, 0, 6:].tolist() == given[0, 0, :11].tolist()
    assert (near[2, 0, 9:] == NEVER).all()
    assert near[2, 0, :9].tolist() == given[2, 0, 21:].tolist()


def test_the_rate_lies_at_the_vertex_of_the_parabola_through_its_neighbours():
    rates = rates_hz(1.0)[:9]
    places = np.arange(9.0)
    seen = np.stack([1 - 0.1 * (places - vertex) ** 2 for vertex in (4.3, 3.8, 0.2, 8.0)]).astype(np.float32)
    found = _between(seen, np.array([4, 4, 0, 8]), rates)
    # Candidates lie 0.0125 of the natural logarithm apart; at the first and the last there is no parabola.
    wanted = rates[[4, 4, 0, 8]] * np.exp(0.0125 * np.array([0.3, -0.2, 0.0, 0.0]))
    assert found == pytest.approx(wanted, rel=1e-5)


def test_the_vertex_lies_at_most_half_a_candidate_away_and_without_a_peak_nowhere_else():
    rates = rates_hz(1.0)[:3]
    seen = np.array([[0.0, 1.0, 5.0], [1.0, 1.0, 1.0], [2.0, 1.0, 2.0]], np.float32)
    found = _between(seen, np.array([1, 1, 1]), rates)
    assert found[1:] == pytest.approx([rates[1]] * 2, rel=1e-6)
    steep = _between(np.array([[0.0, 1.0, 1.9]], np.float32), np.array([1]), rates)
    assert steep[0] == pytest.approx(rates[1] * np.exp(0.0125 * 0.5), rel=1e-6)


def test_every_second_candidate_has_the_better_of_its_own_and_the_next_one_s_evidence():
    assert _coarser(np.array([[1.0, 5.0, 3.0, 2.0, 4.0]], np.float32)).tolist() == [[5.0, 3.0, 4.0]]
    assert _coarser(np.array([[1.0, 5.0, 3.0, 2.0]], np.float32)).tolist() == [[5.0, 3.0]]


def test_what_four_in_five_frames_have_stands_still():
    seen = np.zeros((200, 3), np.float32)
    seen[30:, 0] = 2.0  # in 85 % of the frames
    seen[50:, 1] = 2.0  # in 75 % of them
    seen[:, 2] = -1.0
    assert _standing_in(seen).tolist() == [2.0, 0.0, 0.0]


def test_evidence_is_kept_below_a_cap_and_small_evidence_as_it_is():
    assert _capped(np.array([0.1, -0.1], np.float32)) == pytest.approx([0.1, -0.1], abs=1e-3)
    assert _capped(np.array([50.0], np.float32))[0] == pytest.approx(limits.CAPPED_AT)
    # tanh 1 = 0.76159
    assert _capped(np.array([limits.CAPPED_AT], np.float32))[0] == pytest.approx(0.76159 * limits.CAPPED_AT, rel=1e-4)


def test_half_a_speed_tells_how_much_more_twice_it_explains():
    octave = 55  # ln 2 / 0.0125 is 55.45
    seen = np.zeros((1, 120), np.float32)
    seen[0, 70], seen[0, 15], seen[0, 20] = 1.5, 0.5, 0.7
    halves = _halves_in(seen)
    assert halves.shape == (1, 120 - octave)
    assert halves[0, 15] == pytest.approx(1.0)
    assert halves[0, 20] == 0.0


def test_evidence_for_every_nth_turn_firing_lies_at_the_speed_of_the_crank():
    octave = 55
    count = 2 * octave + 80
    heard_at = 74  # 600 rpm · e^(0.0125 · 74) = 1513 firings a minute, so 3026 turns where every second fires
    seen, halves = np.zeros((1, 2, count), np.float32), np.zeros((1, count - octave), np.float32)
    seen[0, 0, heard_at] = 1.0
    seen[0, 1, heard_at] = 5.0  # the turns between stand out as much as counts
    made = patterned(seen.copy(), halves, (1, 2))
    most = limits.TURNS_WEIGH * limits.TURNS_AT_MOST
    assert made[0, 1, heard_at + octave] == pytest.approx(1.0 + most)
    assert made[0, 0, heard_at] == 1.0
    # Nothing between the firings speaks against it, as much as is counted.
    assert made[0, 1, heard_at + octave + 1] == pytest.approx(limits.TURNS_WEIGH * limits.TURNS_AT_LEAST)
    assert (made[0, 1, :octave] == NEVER).all()
    # Other than in a climb no engine skips turns below 1350 firings a minute: ln(1350 / 600) / 0.0125 is 64.9.
    rpm = 600 * np.exp(limits.STEP_LOG * np.arange(count))
    climbs, other = made.copy(), made.copy()
    _bar_slow(climbs, np.array([False]), rpm, 0.0)
    _bar_slow(other, np.array([True]), rpm, 0.0)
    assert (climbs == made).all()
    assert (other[0, 1, : 64 + octave] == NEVER).all()
    assert (other[0, 1, 66 + octave :] == made[0, 1, 66 + octave :]).all()
    assert (other[0, 0] == made[0, 0]).all()
    assert made[0, 1, 66 + octave] > NEVER
    for told, counts in ((0.6, 0.6), (3.0, limits.TWICE_AT_MOST)):
        halves[0, heard_at] = told
        less = patterned(seen.copy(), halves, (1, 2))[0, 1, heard_at + octave]
        assert less == pytest.approx(1.0 + most - limits.TWICE_WEIGHS * counts)


def test_what_is_added_for_every_turn_firing_is_added_for_every_pattern_at_its_speed():
    given = np.zeros((1, 2, 200), np.float32)
    more = np.zeros((1, 200), np.float32)
    more[0, 90] = 0.5
    _raise(given, more, (1, 2))
    assert np.argwhere(given).tolist() == [[0, 0, 90], [0, 1, 90 + 55]]
    assert given[0, 1, 145] == 0.5


def test_hum_that_stands_still_is_not_taken_for_the_engine_that_moves():
    count = 4 * limits.RATE_HZ
    at_s = np.arange(count) / limits.RATE_HZ
    true_hz = 30 * np.exp(np.clip(at_s - 1.5, 0, 0.8) / 0.8 * np.log(4))
    engine = stacked(true_hz, 4.0)
    hum = stacked(50.0, 4.0)
    track = follow((engine + 1.2 * hum).astype(np.float32), 1.0)
    true = np.interp((np.arange(len(track.rpm)) + 0.5) * 0.01, at_s, true_hz) * 60
    assert np.mean(np.abs(track.rpm / true - 1) < 0.03) > 0.85


def test_a_steady_engine_is_not_taken_for_hum():
    track = follow(stacked(50.0, 2.0), 1.0)
    assert np.median(track.evidence) > 1.0


@pytest.mark.parametrize(("seconds", "blocks"), [(1.234, 123), (limits.SHORTEST_CLIP_S, 50)])
def test_a_clip_has_a_speed_for_each_of_its_blocks(seconds, blocks):
    track = follow(stacked(100.0, seconds), 1.0)
    assert len(track.rpm) == len(track.evidence) == blocks


def test_a_rev_out_has_a_climb_and_a_steady_tone_has_none():
    at_s = np.arange(5 * limits.RATE_HZ) / limits.RATE_HZ
    true_hz = 25 * np.exp(np.clip(at_s - 1.5, 0, 0.8) / 0.8 * np.log(5))
    climb = follow(stacked(true_hz, 5.0), 1.0).climb
    assert climb.is_there
    assert climb.ticks_s == pytest.approx(1.5, abs=0.2)
    assert follow(stacked(100.0, 2.0), 1.0).climb is None


def test_an_engine_that_skips_turns_is_never_as_fast_as_the_double_of_one_that_fires_every_turn():
    rpm = np.array([7000.0, limits.SKIPS_TO_RPM - 1, limits.SKIPS_TO_RPM, 16000.0], np.float32)
    given = np.ones((2, 3, 4), np.float32)
    _bar_fast(given, rpm)
    assert (given[:, 0] == 1).all()
    assert (given[:, 1:, :2] == 1).all()
    assert (given[:, 1:, 2:] == NEVER).all()
