"""How much a spectrum speaks for a rate: most for its own, less for half and twice; and every n-th tooth."""

import numpy as np
import pytest

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.teeth import Band, _sides, first_weights, weights

RATES = (50.0, 100.0, 200.0)
BAND = Band(lowest_hz=40.0, top_hz=900.0, teeth=8, step_hz=10.0, bins=92)


def lines(hz, strong_every=1, strong=1.0):
    """A spectrum of lines at the multiples of a rate, every n-th of them stronger."""
    spectrum = np.zeros(BAND.bins)
    for order in range(1, int(900 / hz)):
        spectrum[round(order * hz / BAND.step_hz)] = 1 + strong * (order % strong_every == 0 and strong_every > 1)
    return spectrum


def test_a_comb_of_lines_counts_most_for_its_own_rate():
    counts = lines(100.0) @ weights(RATES, BAND, ())
    assert counts.argmax() == 1


def test_a_spectrum_without_lines_is_no_evidence_wherever_it_lies():
    # White noise, whitened, has the same level at every frequency, whatever that level is.
    assert np.abs(np.ones(BAND.bins) @ weights(RATES, BAND, ())).max() < 1e-4


def test_teeth_of_every_second_turn_stand_out_only_where_they_are_stronger():
    even = lines(50.0) @ weights(RATES, BAND, (2,))
    skipping = lines(50.0, 2) @ weights(RATES, BAND, (2,))
    assert abs(even[3]) < 0.05
    assert skipping[3] > 0.9


def test_a_side_is_the_mean_of_its_orders_read_between_bins_and_higher_ones_count_less():
    # 104 Hz lies between the bins of 100 and 110 Hz; the fourth order weighs 1 / √4 of the first.
    on, off, there = _sides((104.0,), BAND, [(1, True, 1), (4, True, 4), (2, False, 2)])
    assert on[[10, 11, 41, 42], 0] == pytest.approx([0.6 / 1.5, 0.4 / 1.5, 0.4 * 0.5 / 1.5, 0.6 * 0.5 / 1.5], abs=1e-4)
    assert off[[20, 21], 0] == pytest.approx([0.2, 0.8], abs=1e-4)
    assert on.sum() == pytest.approx(1, abs=1e-4)
    assert off.sum() == pytest.approx(1, abs=1e-4)
    assert there.tolist() == [True]


def test_an_order_below_one_is_not_blurred_less():
    on, _, _ = _sides((100.0,), BAND, [(0.5, True, 0.5), (1, True, 1), (2, False, 2)])
    assert on[[5, 10], 0] == pytest.approx([0.5, 0.5], abs=1e-4)


def test_a_band_has_its_lowest_frequency_and_not_its_top():
    on, _, there = _sides((40.0, 900.0, 39.9), BAND, [(1, True, 1), (2, False, 2)])
    assert on[:, 0].sum() == pytest.approx(1, abs=1e-4)
    assert on[:, 1].sum() == 0
    assert on[:, 2].sum() == 0
    assert there.tolist() == [True, False, False]


def test_a_rate_without_both_sides_in_the_band_tells_nothing_of_every_nth_turn():
    table = weights((100.0, 600.0), BAND, (2,))
    assert table.shape == (BAND.bins, 4)
    assert np.abs(table[:, 2]).max() > 0
    assert np.abs(table[:, 3]).max() == 0


def test_a_tooth_in_full_counts_half_of_what_stands_between_and_half_of_all_around_against_it():
    table = weights((100.0,), BAND, ())[:, 0]
    teeth = np.arange(10, 81, 10)
    between = np.arange(5, 86, 10)
    assert (table[teeth] > 0).all()
    assert (table[between] < 0).all()
    assert table.sum() == pytest.approx(0, abs=1e-4)
    assert (np.diff(table[teeth]) < 0).all()
    on, off = table[teeth].sum(), table[between].sum()
    # The band is read at four places an order, of which one is a tooth and one lies between two.
    around = limits.AROUND_WEIGH / limits.AROUND_STEPS
    assert on / limits.COMB_SCALE == pytest.approx(1 - around, abs=0.06)
    assert off / limits.COMB_SCALE == pytest.approx(-limits.BETWEEN_WEIGH - around, abs=0.06)


def test_only_so_many_teeth_count():
    few = Band(lowest_hz=40.0, top_hz=900.0, teeth=3, step_hz=10.0, bins=92)
    table = weights((100.0,), few, (2,))
    assert np.flatnonzero(table[:, 0]).max() == 35  # the half order beyond the last tooth
    assert np.flatnonzero(table[:, 1]).max() == 60  # twice as many turns


def test_the_first_table_is_cut_so_many_bins_beyond_the_last_that_counts():
    few = Band(lowest_hz=40.0, top_hz=900.0, teeth=3, step_hz=10.0, bins=92)
    cut = first_weights((100.0,), few, 4)
    assert cut.shape == (36 + 4, 1)
    assert cut.dtype == np.float32
    assert (cut == weights((100.0,), few, (2,))[:40, :1]).all()
    assert first_weights((2000.0,), few, 4).shape == (1 + 4, 1)
