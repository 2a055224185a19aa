"""A generated clip as the product hears it: through its file, the decoder and the core."""

from __future__ import annotations

import tempfile

import numpy as np

from diagnostics.hearing.decoding.decode_child import decoded
from tests.revouts.codecs import suffix
from tests.revouts.sets import Clip


def samples_of(clip: Clip) -> np.ndarray:
    """What the decoder makes of the clip's file."""
    with tempfile.NamedTemporaryFile(suffix="." + suffix(clip.codec)) as file:
        file.write(clip.file)
        file.flush()
        return decoded(file.name)
