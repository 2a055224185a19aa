"""The engine's speed beside a reference pitch follower: YIN of librosa (de Cheveigné and Kawahara, JASA 111, 2002).

YIN needs a fundamental and one pulse a period: it is asked about engines that fire every turn, near to the microphone,
with no phone between and no noise. Where it is an octave off, or follows nothing, there is nothing to compare.
"""

from dataclasses import replace

import librosa
import numpy as np
import pytest
from scipy import signal

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.track import follow
from tests.revouts.engine import TRUTH_STEP_S, run
from tests.revouts.sets import FIT, FITTED, drawn, engine_of, place_of
from tests.revouts.sound import MADE_HZ, engine_sound

pytestmark = pytest.mark.long

NEAR = replace(
    FIT,
    ranges=FITTED | {"hiss": (0.0, 0.01), "mechanics": (0.0, 0.01), "idle_skips": (0.0, 0.0), "pumping": (0.06, 0.1)},
)
OCTAVE_OFF = 0.03  # of speed: further away YIN follows something else
LOWEST_HZ, HIGHEST_HZ, FRAME = 18.0, 220.0, 2048  # firing; samples, over two periods of the slowest


@pytest.mark.parametrize("number", [0, 1, 2])
def test_yin_and_we_agree_on_clean_clips_within_its_own_error(number):
    draw, rng = drawn(NEAR, "healthy", number)
    engine = engine_of("healthy", 1.0, draw, rng)
    turns, truth = run(engine, rng)
    sound = engine_sound(turns, truth, engine.starts_at_s, place_of(draw, rng), rng)
    sound = (sound / np.abs(sound).max()).astype(np.float32)

    hop = round(limits.BLOCK_S * MADE_HZ)
    yin_hz = librosa.yin(sound, fmin=LOWEST_HZ, fmax=HIGHEST_HZ, sr=MADE_HZ, frame_length=FRAME, hop_length=hop)
    track = follow(signal.resample_poly(sound, limits.RATE_HZ, MADE_HZ).astype(np.float32), 1.0)

    at_s = np.arange(len(yin_hz)) * limits.BLOCK_S
    true_hz = np.interp(at_s, np.arange(len(truth.rpm)) * TRUTH_STEP_S, truth.rpm) / 60
    ours_hz = np.interp(at_s, (np.arange(len(track.rpm)) + 0.5) * limits.BLOCK_S, track.rpm) / 60
    follows = np.abs(yin_hz / true_hz - 1) < OCTAVE_OFF
    yin_error = np.median(np.abs(yin_hz / true_hz - 1)[follows])
    our_error = np.median(np.abs(ours_hz / true_hz - 1))

    assert follows.mean() > 0.4
    assert np.median(np.abs(yin_hz / ours_hz - 1)[follows]) < yin_error + our_error
    assert our_error < yin_error
    assert np.mean(np.abs(ours_hz / true_hz - 1) < OCTAVE_OFF) > 0.97
