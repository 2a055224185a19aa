"""The child that decodes clips: a path a line on standard input, a header line and samples on standard output; with a
second path on the line it writes a playable copy there instead, and answers with the header alone.

It runs in a process of its own because a decoder is large C code that is fed whatever bytes people send. If it crashes,
hangs or eats memory, only this process does. It limits its own memory before it reads. decode.py beside it starts it.
Playlists and other formats that point elsewhere are not opened: no clip makes the machine fetch or read anything.
"""

from __future__ import annotations

import ctypes
import errno
import json
import math
import os
import resource
import stat
import sys
from collections.abc import Iterator
from typing import BinaryIO

import av
import numpy as np
from av.audio.fifo import AudioFifo
from av.audio.resampler import AudioResampler
from av.container import InputContainer

from diagnostics.hearing.core import limits
from diagnostics.hearing.decoding.playable import write_playable
from garage.core.errors import Showable

RATE_HZ = limits.RATE_HZ
LONGEST_S = 180
MINUTES = LONGEST_S // 60
LARGEST_BYTES = 100 * 2**20
KEPT_BYTES = 32 * 2**20  # the most that M_MMAP_THRESHOLD may be
M_TRIM_THRESHOLD, M_MMAP_THRESHOLD = -1, -3
MEMORY_BYTES = 1200 * 2**20  # address space, libraries among them; a decoder that wants more is stopped
AT_ONCE = 1 << 15  # samples that are resampled together
PADDING_S = 0.5  # what a codec may add to three minutes
RATES_HZ = (7000, 200000)  # 8 to 96 kHz are promised; what lies near is tried
FORMATS = "wav,w64,aiff,mp3,mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,ogg,flac,caf,amr,aac,adts"
OPTIONS = {"format_whitelist": FORMATS, "protocol_whitelist": "none"}
ALLOWED = "allowed is a sound or video file as a phone makes it: wav, mp3, m4a, mp4, webm, ogg, flac, caf, amr or 3gp"
TOO_MUCH = f"clip needs too much memory to be decoded; {ALLOWED}."
BEGINNING_BYTES = 512  # enough to know a picture or a text by
NOT_OPENED = {
    errno.ENOENT: "there is no such file",
    errno.ENOTDIR: "there is no such file",
    errno.EISDIR: "it is a folder",
    errno.EACCES: "it may not be read",
    errno.EPERM: "it may not be read",
    errno.ENAMETOOLONG: "its name is too long",
    errno.ELOOP: "its links lead in a circle",
    errno.EIO: "the disk cannot read it",
    errno.ENXIO: "it is not a file",
}


def main() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    _keep_memory()
    av.logging.set_level(None)
    out = sys.stdout.buffer
    for line in sys.stdin.buffer:
        path, *into = (os.fsdecode(bytes.fromhex(each)) for each in line.decode().split())
        answer(path, out, *into)


def _keep_memory() -> None:
    """Memory that one clip took is kept for the next: asking for it again costs a quarter of the decoding time.

    Source of the numbers: mallopt(3) of glibc. Other C libraries have no such call.
    """
    mallopt = getattr(ctypes.CDLL(None), "mallopt", None)
    if mallopt is None:
        return
    for setting in (M_TRIM_THRESHOLD, M_MMAP_THRESHOLD):
        mallopt(setting, KEPT_BYTES)


def answer(path: str, out: BinaryIO, into: str = "") -> None:
    """One header line, {"samples": n} with 4n bytes after it, or {"error": why}. into: where a playable copy goes."""
    try:
        samples = copied(path, into) if into else decoded(path)
        header: dict[str, object] = {"samples": len(samples)}
    except Showable as error:
        samples, header = np.zeros(0, np.float32), {"error": error.sentence}
    except MemoryError:
        samples, header = np.zeros(0, np.float32), {"error": TOO_MUCH}
    out.write(json.dumps(header).encode() + b"\n" + samples.tobytes())
    out.flush()


def decoded(path: str) -> np.ndarray:
    """The clip's sound, one channel at RATE_HZ within -1 to 1; raises Showable with a sentence for the person."""
    with _opened(path) as file:
        begins = file.read(BEGINNING_BYTES)
        file.seek(0)
        if is_picture(begins):
            raise Showable(f"clip is a picture, not a sound; {ALLOWED}.")
        try:
            return _one_channel(_decoded_parts(file))
        except (av.error.FFmpegError, OSError, ValueError) as error:
            raise Showable(_why(error, begins)) from error


def copied(path: str, into: str) -> np.ndarray:
    """No samples: the sound is in the file. Raises Showable as decoded() does."""
    with _opened(path) as file, open(into, "xb") as out:
        begins = file.read(BEGINNING_BYTES)
        file.seek(0)
        try:
            with av.open(file, "r", options=OPTIONS, metadata_errors="replace") as container:
                write_playable(_packets(container), out)
        except (av.error.FFmpegError, OSError, ValueError, IndexError) as error:
            raise Showable(_why(error, begins)) from error
    return np.zeros(0, np.float32)


def _opened(path: str) -> BinaryIO:
    """A file with something in it, at its beginning."""
    try:
        file = open(path, "rb", opener=_at_once)  # noqa: SIM115  the caller closes it
    except (OSError, ValueError) as error:
        why = NOT_OPENED.get(getattr(error, "errno", None) or 0, "no file can have such a name")
        raise Showable(f"clip cannot be opened: {why}; allowed is a readable file.") from error
    kind = os.fstat(file.fileno())
    why = ""
    if not stat.S_ISREG(kind.st_mode):
        why = f"clip is not a file; {ALLOWED}."
    elif kind.st_size == 0:
        why = f"clip is empty (0 bytes); {ALLOWED}."
    elif kind.st_size > LARGEST_BYTES:
        why = f"clip is {kind.st_size / 2**20:.0f} MB; allowed is at most 100 MB."
    if why:
        file.close()
        raise Showable(why)
    return file


def _at_once(path: str, flags: int) -> int:
    """Opened without blocking: a named pipe would wait for a writer."""
    return os.open(path, flags | os.O_NONBLOCK | os.O_CLOEXEC)


def is_picture(begins: bytes) -> bool:
    """By a file's first bytes. Source: the formats' own signatures (PNG, JPEG, GIF, WebP, HEIF and AVIF), from memory.

    >>> [is_picture(begins) for begins in (b"\\x89PNG\\r\\n", b"RIFF0000WEBPVP8 ", b"RIFF0000WAVEfmt ")]
    [True, True, False]
    """
    kind = begins[8:12]
    return (
        begins.startswith((b"\x89PNG", b"\xff\xd8\xff", b"GIF8"))
        or (begins.startswith(b"RIFF") and kind == b"WEBP")
        or (begins[4:8] == b"ftyp" and kind in (b"heic", b"heix", b"mif1", b"msf1", b"avif"))
    )


def _is_text(begins: bytes) -> bool:
    """Whether there is nothing but printable characters and spaces in it; the last one may be cut off."""
    words = begins.decode("utf-8", "ignore")
    return len(words.encode()) > len(begins) - 4 and all(c.isprintable() or c.isspace() for c in words)


def _why(error: BaseException, begins: bytes) -> str:
    if getattr(error, "errno", None) == errno.ENOMEM:
        return TOO_MUCH
    if _is_text(begins):
        return f"clip is a text, not a sound; {ALLOWED}."
    if isinstance(error, av.error.LookupError):
        return f"clip is of an unknown kind; {ALLOWED}."
    return f"clip is damaged, or not a sound at all; {ALLOWED}."


def _decoded_parts(file: BinaryIO) -> list[np.ndarray]:
    with av.open(file, "r", options=OPTIONS, metadata_errors="replace") as container:
        if not container.streams.audio:
            raise Showable(f"clip holds no sound; {ALLOWED}.")
        return _from(container)


def _from(container: InputContainer) -> list[np.ndarray]:
    parts: list[np.ndarray] = []
    state = _Resampling()
    seconds = 0.0
    for packet in _packets(container):
        try:
            frames = packet.decode()
        except av.error.InvalidDataError:  # a bad packet is a gap, not the end of the clip
            continue
        for frame in frames:
            if not RATES_HZ[0] <= frame.sample_rate <= RATES_HZ[1]:
                raise Showable(f"clip has {frame.sample_rate} samples a second; allowed are 8 to 96 kHz.")
            seconds += frame.samples / frame.sample_rate
            if seconds > LONGEST_S + PADDING_S:
                raise Showable(
                    f"clip is longer than {MINUTES} minutes; allowed is a clip of at most {MINUTES} minutes."
                )
            parts += state.resampled(frame)
    return parts + state.rest()


def _packets(container: InputContainer) -> Iterator[av.Packet[av.AudioStream]]:
    """To the end of the file, or to where its container breaks: what came before that is heard."""
    came = False
    try:
        for packet in container.demux(container.streams.audio[0]):
            came = True
            yield packet
    except (av.error.FFmpegError, OSError):
        if not came:
            raise


class _Resampling:
    """Resamples many frames at once, since a call costs more than the sound in one frame.

    A stream that changes its format midway gets a new resampler.
    """

    def __init__(self) -> None:
        self.waiting = AudioFifo()
        self.resampler: AudioResampler | None = None
        self.shape: tuple[object, ...] = ()

    def resampled(self, frame: av.AudioFrame) -> list[np.ndarray]:
        shape = (frame.format.name, frame.layout.name, frame.sample_rate)
        before: list[np.ndarray] = []
        if shape != self.shape or self.resampler is None:
            before = self.rest()
            layout = "mono" if frame.layout.nb_channels == 1 else "stereo"
            self.resampler, self.shape = AudioResampler(format="fltp", layout=layout, rate=RATE_HZ), shape
            self.waiting = AudioFifo()
        frame.pts = None  # times in the file may be nonsense: samples follow each other
        self.waiting.write(frame)
        return before + (self._through() if self.waiting.samples >= AT_ONCE else [])

    def rest(self) -> list[np.ndarray]:
        """All that is still waiting."""
        if self.resampler is None:
            return []
        return [*self._through(), *map(_pair, self.resampler.resample(None))]

    def _through(self) -> list[np.ndarray]:
        assert self.resampler is not None  # noqa: S101  made with the first frame
        many = self.waiting.read()
        return [] if many is None else [_pair(part) for part in self.resampler.resample(many)]


def _pair(frame: av.AudioFrame) -> np.ndarray:
    samples = np.nan_to_num(frame.to_ndarray(), nan=0.0, posinf=0.0, neginf=0.0)
    return np.clip(samples, -1e3, 1e3) if len(samples) == 2 else np.clip(np.repeat(samples, 2, axis=0), -1e3, 1e3)


def _one_channel(parts: list[np.ndarray]) -> np.ndarray:
    """Mean of the channels; the louder one where they cancel each other."""
    if not parts or not sum(part.shape[1] for part in parts):
        raise Showable(f"clip holds no sound (its track has no length); {ALLOWED}.")
    both = np.concatenate(parts, axis=1)
    mean = both.mean(axis=0)
    powers = (both**2).mean(axis=1)
    if (mean**2).mean() < 0.1 * powers.max():
        mean = both[int(powers.argmax())]
    top = float(np.abs(mean).max())
    at_most_full: np.ndarray = mean / top if math.isfinite(top) and top > 1 else mean
    return at_most_full.astype(np.float32)


if __name__ == "__main__":
    main()
