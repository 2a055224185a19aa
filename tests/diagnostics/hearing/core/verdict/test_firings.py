"""A rhythm is found however it changes or rings on; cuts are none."""

import numpy as np

from diagnostics.hearing.core.verdict.firings import pattern_of


def shares(*stretches, rings=0.0):
    """Share of firings in an even rhythm, where stretches of (n, turns) fire every n-th turn; rings: how much of a
    firing's loudness is left in the next turn."""
    fired = np.concatenate([np.arange(turns) % nth == 0 for nth, turns in stretches]).astype(float)
    rng = np.random.default_rng(7)
    loud = np.maximum(fired, rings * np.roll(fired, 1)) + 0.05 * rng.normal(size=len(fired))
    return float((pattern_of(2 * (loud - 1), np.clip(fired + 0.1 * rng.normal(size=len(fired)), 0, 1)) > 1).mean())


def test_a_change_of_rhythm_is_even_on_either_side_of_it():
    assert shares((4, 40), (2, 40), (3, 40), (4, 40)) > 0.95


def test_a_firing_that_rings_on_into_the_next_turn_keeps_its_rhythm():
    assert shares((4, 120), rings=0.95) > 0.95


def test_two_that_fire_and_two_that_are_cut_are_no_rhythm():
    fired = np.tile([1.0, 1.0, 0.0, 0.0], 30)
    assert (pattern_of(2 * (fired - 1), fired) == 1).all()
