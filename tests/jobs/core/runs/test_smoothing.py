from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.core.runs.smoothing import smoothed


@given(
    steps=st.lists(st.floats(0.001, 0.5), min_size=4, max_size=60),
    window=st.floats(0, 2),
    slope=st.floats(-100, 100),
)
def test_what_rises_evenly_stays_as_it_is(steps, window, slope):
    time_s = 40_000 + np.cumsum(steps)
    values = 70 + slope * (time_s - time_s[0])
    np.testing.assert_allclose(smoothed(time_s, values, window), values, rtol=1e-6, atol=1e-5)


def test_it_is_the_line_of_least_squares_of_each_window():
    """Judged by numpy's own fit, one window after the other."""
    chance = np.random.default_rng(5)
    time_s = np.cumsum(chance.uniform(0.01, 0.05, 80))
    values = chance.normal(100, 3, 80)
    found = smoothed(time_s, values, 0.3)
    for at in range(10, 70):
        inside = np.abs(time_s - time_s[at]) <= 0.15
        line = np.polynomial.Polynomial.fit(time_s[inside], values[inside], 1)
        assert found[at] == pytest.approx(line(time_s[at]), rel=1e-9)


def test_noise_becomes_less():
    chance = np.random.default_rng(5)
    time_s = np.arange(2000) / 1000
    found = smoothed(time_s, chance.normal(0, 1, 2000), 0.1)
    assert found[100:-100].std() < 0.2
