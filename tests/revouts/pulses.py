"""An engine reduced to its firings: a decaying ring for each, at a steady speed, as loud as given."""

from __future__ import annotations

import numpy as np

from diagnostics.core.arrays import Float32s
from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.spectrum import envelope_of
from diagnostics.hearing.core.following.track import Track

FIRING_HZ, RING_HZ, DIES_AWAY = 100.0, 900.0, 500.0  # firings a second; Hz; a second


def sounded(fired: np.ndarray) -> tuple[Track, Float32s]:
    """Track and sound; fired: (firings,) how loud each is, 0 for a missing one."""
    fired = np.asarray(fired, float)
    turn = np.arange(round(len(fired) / FIRING_HZ * limits.RATE_HZ)) / limits.RATE_HZ * FIRING_HZ
    whole = np.floor(turn).astype(int)
    into_s = (turn - whole) / FIRING_HZ
    sound = (fired[whole] * np.exp(-into_s * DIES_AWAY) * np.sin(2 * np.pi * RING_HZ * into_s)).astype(np.float32)
    hz = np.full(round(len(fired) / FIRING_HZ / limits.BLOCK_S), FIRING_HZ)
    return Track(hz, np.ones(len(hz)), envelope_of(sound), 1.0), sound
