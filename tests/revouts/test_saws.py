"""A grain cut from a saw holds one firing. The recordings are not needed for that."""

import numpy as np

from tests.revouts.saws import MADE_HZ, grains_of

FIRES_HZ = 80.0


def saw(loud_between):
    """Two seconds of firings, with something as loud as given half way to the next."""
    period = int(MADE_HZ / FIRES_HZ)
    ring = np.exp(-np.arange(period) / 20) * np.sin(np.arange(period) * 0.5)
    turn = ring + loud_between * np.roll(ring, period // 2)
    return np.tile(turn, 2 * MADE_HZ // period) + 0.01 * np.random.default_rng(1).normal(
        size=2 * MADE_HZ // period * period
    )


def test_single_firings_are_cut_out_of_an_even_run():
    grains = grains_of(saw(0.1))
    assert len(grains) >= 20
    assert all(0.8 < len(grain) / MADE_HZ * FIRES_HZ < 1.1 for grain in grains)


def test_nothing_is_cut_where_another_firing_lies_in_the_grain_or_nothing_fires():
    assert not grains_of(saw(0.9)) or all(len(grain) < 0.6 * MADE_HZ / FIRES_HZ for grain in grains_of(saw(0.9)))
    assert grains_of(np.random.default_rng(2).normal(size=MADE_HZ)) == []
