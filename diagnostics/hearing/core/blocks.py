"""Time counted in blocks: one refined speed each."""

from __future__ import annotations

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.hearing.core import limits


def block_at(at_s: float) -> int:
    """The block in which a moment lies."""
    return int(at_s / limits.BLOCK_S)


def blocks_in(length_s: float) -> int:
    """How many blocks a length of time takes, rounded."""
    return round(length_s / limits.BLOCK_S)


def middles_s(blocks: int) -> Float64s:
    """(blocks,): the middle of each block, s."""
    return np.asarray((np.arange(blocks) + 0.5) * limits.BLOCK_S)
