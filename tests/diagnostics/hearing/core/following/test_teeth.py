"""How much a spectrum speaks for a rate: most for its own, less for half and twice; and every n-th tooth."""

import numpy as np

from diagnostics.hearing.core.following.teeth import Band, weights

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
