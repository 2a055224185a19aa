"""A generated clip as the hearing gets it: through its file and the decoder."""

from __future__ import annotations

import tempfile

import numpy as np

from diagnostics.hearing.decoding.decode_child import decoded
from tests.revouts.codecs import suffix
from tests.revouts.sets import Clip
from tests.revouts.wide.sets import Recording


def samples_of(clip: Clip | Recording) -> np.ndarray:
    """(n,) float32 at RATE_HZ: what the decoder makes of the clip's file."""
    with tempfile.NamedTemporaryFile(suffix="." + suffix(clip.codec)) as file:
        file.write(clip.file)
        file.flush()
        return decoded(file.name)
