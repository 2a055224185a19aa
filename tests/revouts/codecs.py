"""Real encoders at phone bit rates: a clip's file as bytes."""

from __future__ import annotations

import io
from dataclasses import dataclass
from fractions import Fraction

import av
import numpy as np

from tests.revouts.sound import MADE_HZ


@dataclass(frozen=True)
class Codec:
    name: str
    container: str
    encoder: str
    rate_hz: int
    bit_rate: int
    stereo: bool = False
    sample_format: str = "fltp"


CODECS = {
    codec.name: codec
    for codec in (
        Codec("wav", "wav", "pcm_s16le", 44100, 0, sample_format="s16"),
        Codec("wav8", "wav", "pcm_s16le", 8000, 0, sample_format="s16"),
        Codec("wav96", "wav", "pcm_s16le", 96000, 0, stereo=True, sample_format="s16"),
        Codec("aac64", "mp4", "aac", 44100, 64000),
        Codec("aac96s", "ipod", "aac", 48000, 96000, stereo=True),
        Codec("aac32", "mp4", "aac", 44100, 32000),
        Codec("opus24", "webm", "libopus", 48000, 24000, sample_format="flt"),
        Codec("opus48", "ogg", "libopus", 48000, 48000, sample_format="flt"),
        Codec("mp3-64", "mp3", "libmp3lame", 44100, 64000),
        Codec("mp3-128", "mp3", "libmp3lame", 44100, 128000, stereo=True),
        Codec("vorbis", "ogg", "vorbis", 44100, 64000, stereo=True),
        Codec("flac", "flac", "flac", 44100, 0, sample_format="s16"),
        Codec("caf", "caf", "pcm_s16be", 44100, 0, sample_format="s16"),
        Codec("amr", "3gp", "libopencore_amrnb", 8000, 12200, sample_format="s16"),
    )
}
SUFFIX = {"ipod": "m4a", "matroska": "mkv"}


def suffix(codec: Codec) -> str:
    return SUFFIX.get(codec.container, codec.container)


def encoded(sound: np.ndarray, codec: Codec, rate_hz: int = MADE_HZ) -> bytes:
    """The bytes of a file. sound: within -1 to 1, at `rate_hz`."""
    file = io.BytesIO()
    with av.open(file, "w", format=codec.container) as out:
        stream = out.add_stream(codec.encoder, rate=codec.rate_hz)
        stream.codec_context.options = {"strict": "experimental"} if codec.encoder == "vorbis" else {}
        stream.layout = "stereo" if codec.stereo else "mono"
        if codec.bit_rate:
            stream.bit_rate = codec.bit_rate
        resampler = av.AudioResampler(format=codec.sample_format, layout=stream.layout.name, rate=codec.rate_hz)
        frame = av.AudioFrame.from_ndarray(sound.astype(np.float32)[None, :], format="fltp", layout="mono")
        frame.sample_rate, frame.time_base, frame.pts = rate_hz, Fraction(1, rate_hz), 0
        fifo = av.AudioFifo()
        for part in [*resampler.resample(frame), *resampler.resample(None)]:
            fifo.write(part)
        size = stream.codec_context.frame_size or 1024
        written = 0
        while (part := fifo.read(size)) or (part := fifo.read()):
            part.pts, part.time_base = written, Fraction(1, codec.rate_hz)
            written += part.samples
            out.mux(stream.encode(part))
        out.mux(stream.encode(None))
    return file.getvalue()
