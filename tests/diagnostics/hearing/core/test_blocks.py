"""Time in blocks of 10 ms: a moment lies in one block, a length is rounded to whole ones."""

import pytest

from diagnostics.hearing.core.blocks import block_at, blocks_in, middles_s


def test_a_moment_lies_in_the_block_that_has_begun_and_not_ended():
    assert [block_at(at_s) for at_s in (0.0, 0.0099, 0.0101, 0.0199, 1.0)] == [0, 0, 1, 1, 100]


def test_a_length_takes_as_many_blocks_as_come_nearest():
    assert [blocks_in(length_s) for length_s in (0.0, 0.014, 0.016, 1.0)] == [0, 1, 2, 100]


def test_the_middles_of_blocks_lie_half_a_block_after_they_begin():
    assert middles_s(3) == pytest.approx([0.005, 0.015, 0.025])
