"""The sound of a clip alone, for every browser: MP3, without picture, place and the phone's name.

MP3 is played by every browser. At this rate and size the hearing finds the same in it as in the original
(tests/diagnostics/hearing/decoding/test_playable.py), so a clip can be heard again with a later edition of it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import BinaryIO

import av
from av.audio.resampler import AudioResampler

RATE_HZ = 32_000  # the hearing works up to 4 kHz; above 15 an engine has little. Common practice, no source
BITS_A_CHANNEL = 64_000  # a second; half a megabyte a minute for one channel


def write_playable(packets: Iterable[av.Packet[av.AudioStream]], into: BinaryIO) -> None:
    """Bad packets are gaps, as when it is heard. One or two channels, as they came: the two may cancel each other."""
    with av.open(into, "w", format="mp3") as out:
        writer = _Writer(out)
        for packet in packets:
            try:
                frames = packet.decode()
            except av.error.InvalidDataError:
                continue
            for frame in frames:
                writer.write(frame)
        writer.end()


class _Writer:
    """A stream that changes its format midway gets a new resampler."""

    def __init__(self, out: av.container.OutputContainer) -> None:
        self.out = out
        self.stream: av.AudioStream | None = None
        self.resampler: AudioResampler | None = None
        self.shape: tuple[object, ...] = ()

    def write(self, frame: av.AudioFrame) -> None:
        shape = (frame.format.name, frame.layout.name, frame.sample_rate)
        if self.stream is None:
            self.stream = self._new(1 if frame.layout.nb_channels == 1 else 2)
        if self.resampler is None or shape != self.shape:
            self._rest()
            self.resampler = AudioResampler(format="fltp", layout=self.stream.layout.name, rate=RATE_HZ)
            self.shape = shape
        frame.pts = None  # times in the file may be nonsense
        self._mux(self.resampler.resample(frame))

    def end(self) -> None:
        self._rest()
        self._mux([None])

    def _new(self, channels: int) -> av.AudioStream:
        stream = self.out.add_stream("libmp3lame", rate=RATE_HZ)
        stream.layout = "mono" if channels == 1 else "stereo"
        stream.bit_rate = channels * BITS_A_CHANNEL
        return stream

    def _rest(self) -> None:
        if self.resampler is not None:
            self._mux(self.resampler.resample(None))

    def _mux(self, frames: Iterable[av.AudioFrame | None]) -> None:
        if self.stream is None:
            return
        for frame in frames:
            if frame is not None:
                frame.pts = None
            self.out.mux(self.stream.encode(frame))
