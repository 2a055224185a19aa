"""The copy that is kept of a clip: every browser plays it, it is sound alone, and the hearing finds the same."""

from __future__ import annotations

import io
import wave

import av
import numpy as np
import pytest

from diagnostics.hearing.core.hear import hear
from diagnostics.hearing.decoding.decode import Decoder
from garage.core.errors import Showable
from tests.browser import rev_out


@pytest.fixture(scope="module")
def decoder():
    with Decoder() as started:
        yield started


def copy_of(decoder, tmp_path, content, name="clip.m4a"):
    (tmp_path / name).write_bytes(content)
    decoder.write_playable(str(tmp_path / name), str(tmp_path / "copy.mp3"))
    return tmp_path / "copy.mp3"


@pytest.mark.parametrize("kind", ["healthy", "breaks"])
def test_the_hearing_finds_in_the_copy_what_it_found_in_the_original(decoder, tmp_path, kind):
    copy = copy_of(decoder, tmp_path, rev_out.clip(kind))
    before, after = (hear(decoder.samples(str(path)), 1.0) for path in (tmp_path / "clip.m4a", copy))
    assert (after.verdict, after.reason) == (before.verdict, before.reason)
    assert after.confidence == pytest.approx(before.confidence, abs=0.05)
    assert after.peak_rpm == pytest.approx(before.peak_rpm, rel=0.01)


def test_it_is_mp3_with_sound_alone_and_without_what_the_phone_wrote(decoder, tmp_path):
    sound = io.BytesIO()
    with av.open(sound, "w", format="mp4") as out:
        out.metadata.update({"location": "+54.1234-002.5678/", "comment": "Jocasta"})
        stream, picture = out.add_stream("aac", rate=44100), out.add_stream("mpeg4", rate=10)
        picture.width = picture.height = 64
        for _ in range(10):
            out.mux(picture.encode(av.VideoFrame(64, 64, "yuv420p")))
        frame = av.AudioFrame.from_ndarray(np.zeros((1, 44100), np.float32), format="fltp", layout="mono")
        frame.sample_rate = 44100
        out.mux(stream.encode(frame))
        out.mux(stream.encode(None))
        out.mux(picture.encode(None))
    assert all(each in sound.getvalue() for each in (b"loci", b"Jocasta"))
    copy = copy_of(decoder, tmp_path, sound.getvalue())
    with av.open(str(copy)) as kept:
        assert (kept.format.name, [one.type for one in kept.streams]) == ("mp3", ["audio"])
        assert "mp3" in kept.streams.audio[0].codec_context.name
    assert not any(each in copy.read_bytes() for each in (b"loci", b"Jocasta"))


def test_channels_that_cancel_each_other_are_both_kept(decoder, tmp_path):
    out = io.BytesIO()
    left = (8000 * np.sin(np.arange(32000) / 20)).astype("<i2")
    with wave.open(out, "wb") as file:
        file.setparams((2, 2, 16000, 0, "NONE", ""))
        file.writeframes(np.column_stack([left, -left]).tobytes())
    copy = copy_of(decoder, tmp_path, out.getvalue(), "clip.wav")
    assert float(np.abs(decoder.samples(str(copy))).max()) > 0.1


def test_what_is_no_sound_is_not_copied_and_the_child_lives(decoder, tmp_path):
    with pytest.raises(Showable):
        copy_of(decoder, tmp_path, b"no sound at all", "clip.txt")
    (tmp_path / "copy.mp3").unlink()
    assert copy_of(decoder, tmp_path, rev_out.clip("healthy")).stat().st_size > 1000
