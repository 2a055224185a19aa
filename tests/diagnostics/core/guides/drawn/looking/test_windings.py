"""The line that a good winding follows when it warms up."""

import pytest

from diagnostics.core.guides.drawn.looking.windings import copper_ohm


@pytest.mark.parametrize(
    ("at_room_ohm", "at_c", "ohm"),
    [(4.0, 100, 5.2574), (300.0, 80, 370.73), (0.5, 5, 0.4705)],  # by hand: R20 (234.5 + t) / 254.5
)
def test_copper_reads_more_the_warmer_it_is(at_room_ohm, at_c, ohm):
    assert copper_ohm(at_room_ohm, at_c) == pytest.approx(ohm, rel=2e-4)
