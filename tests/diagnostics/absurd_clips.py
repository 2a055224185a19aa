"""Clips whose headers lie: real encodes with one field of their container made absurd.

Where the fields lie, from memory of the formats' own pages: RIFF/WAVE, FLAC (RFC 9639), Ogg (RFC 3533) with Opus
(RFC 7845), Matroska (RFC 9559), ISO base media (ISO/IEC 14496-12), CAF (Apple's), MP3 with its Xing page and ID3v2.
`named(sound)` gives them all; a field that is not found raises, so that no lie is left untold.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterator

import numpy as np

from tests.revouts.codecs import CODECS, encoded, suffix
from tests.revouts.sound import MADE_HZ

TEN_HOURS_S = 36_000
Lie = Callable[[bytes], bytes]

WAV_FIELDS = {"channels": (22, "<H"), "rate": (24, "<I"), "block": (32, "<H"), "bits": (34, "<H")}
BOX_FIELDS = {  # of version 0: bytes after the box's name
    "movie scale": (b"mvhd", 12, ">I"),
    "movie duration": (b"mvhd", 16, ">I"),
    "track duration": (b"tkhd", 20, ">I"),
    "scale": (b"mdhd", 12, ">I"),
    "duration": (b"mdhd", 16, ">I"),
    "channels": (b"mp4a", 16, ">H"),
    "rate": (b"mp4a", 24, ">I"),  # 16.16
    "times": (b"stts", 4, ">I"),
    "length of each": (b"stts", 12, ">I"),
    "sizes": (b"stsz", 8, ">I"),
    "size of the first": (b"stsz", 12, ">I"),
    "chunks": (b"stco", 4, ">I"),
    "place of the first": (b"stco", 8, ">I"),
    "per chunk": (b"stsc", 12, ">I"),
    "size of the sound": (b"mdat", -4, ">I"),
    "size of the index": (b"moov", -4, ">I"),
}
CAF_FIELDS = {
    "rate": (b"desc", 8, ">d"),
    "bytes per packet": (b"desc", 20, ">I"),
    "frames per packet": (b"desc", 24, ">I"),
    "channels": (b"desc", 28, ">I"),
    "bits": (b"desc", 32, ">I"),
    "length": (b"data", 0, ">q"),
}
U32, U16 = 0xFFFFFFFF, 0xFFFF


def named(sound: np.ndarray) -> Iterator[tuple[str, str, bytes]]:
    """(what it lies about, its file's ending, its bytes); `sound` at MADE_HZ."""
    for codec, lies in _lies().items():
        whole = encoded(sound, CODECS[codec], MADE_HZ)
        for name, lie in lies.items():
            yield f"{codec} {name}", suffix(CODECS[codec]), lie(whole)


def _lies() -> dict[str, dict[str, Lie]]:
    return {
        "wav": {
            f"{field} {value}": _at(*WAV_FIELDS[field], value)
            for field, values in {
                "channels": (0, 255, U16),
                "rate": (0, 1, U32),
                "block": (0, U16),
                "bits": (0, 255, U16),
            }.items()
            for value in values
        }
        | {f"length {value}": _after(b"data", 0, "<I", value) for value in (0, 3, U32)}
        | {f"length of the head {value}": _after(b"fmt ", 0, "<I", value) for value in (0, U32)},
        "flac": {
            f"{field} {value}": _flac(**{field: value})
            for field, values in {
                "rate": (0, 1, 2**20 - 1),
                "channels": (8,),
                "bits": (4, 32),
                "samples": (0, 44_100 * TEN_HOURS_S, 2**36 - 1),
            }.items()
            for value in values
        }
        | {
            "blocks 0": _at(8, ">I", 0),
            "blocks 65535": _at(8, ">I", U32),
            "length of the head": _at(4, ">I", 0xFFFFFF),
        },
        "aac64": _mp4_lies(),
        "opus48": {
            f"{field} {value}": _ogg(place, form, value)
            for field, place, form, values in (
                ("channels", 9, "<B", (0, 255)),
                ("skip", 10, "<H", (U16,)),
                ("rate", 12, "<I", (0, U32)),
                ("version", 8, "<B", (255,)),
            )
            for value in values
        }
        | {f"end {value}": _ogg_end(value) for value in (48_000 * TEN_HOURS_S, -5, 2**63 - 1)},
        "opus24": {f"duration {value:g}": _element(b"\x44\x89", ">d", value) for value in (0.0, -1.0, 3.6e7, 1e300)}
        | {f"rate {value:g}": _element(b"\xb5", ">d", value) for value in (0.0, -48_000.0, 4e9, float("nan"))}
        | {f"channels {value}": _element(b"\x9f", ">B", value) for value in (0, 255)},
        "caf": {
            f"{field} {value:g}": _after(*CAF_FIELDS[field], value)
            for field, values in {
                "rate": (0.0, -44_100.0, 4e9, 1e300, float("nan")),
                "bytes per packet": (0, U32),
                "frames per packet": (0, U32),
                "channels": (0, 255, U32),
                "bits": (0, U32),
                "length": (0, -5, 2**62),
            }.items()
            for value in values
        },
        "mp3-64": {f"frames {value}": _xing(8, value) for value in (0, TEN_HOURS_S * 38, U32)}
        | {f"bytes {value}": _xing(12, value) for value in (0, 2**32 - 1)}
        | {"tag of 256 MB": lambda whole: b"ID3\x04\x00\x00\x7f\x7f\x7f\x7f" + whole},
    }


def _mp4_lies() -> dict[str, Lie]:
    lies = {
        f"{field} {value}": _after(*BOX_FIELDS[field], value)
        for field in BOX_FIELDS
        for value in ((0, 255, U16) if field == "channels" else (0, 2**31, U32))
    }
    return lies | {"length of ten hours": _after(b"mdhd", 16, ">I", 44_100 * TEN_HOURS_S)}


def _at(place: int, form: str, value: float) -> Lie:
    return lambda whole: whole[:place] + struct.pack(form, value) + whole[place + struct.calcsize(form) :]


def _after(name: bytes, behind: int, form: str, value: float) -> Lie:
    """`behind`: bytes from the name's end to the field; -4 - len(name) is before it."""
    skip = -4 - len(name) if behind < 0 else behind
    return lambda whole: _at(whole.index(name) + len(name) + skip, form, value)(whole)


def _flac(**lie: int) -> Lie:
    """STREAMINFO after the frame sizes, in bits: 20 of rate, 3 of channels - 1, 5 of bits - 1, 36 of samples."""

    def told(whole: bytes) -> bytes:
        (bits,) = struct.unpack_from(">Q", whole, 18)
        has = {"rate": bits >> 44, "channels": (bits >> 41 & 7) + 1, "bits": (bits >> 36 & 31) + 1}
        has |= {"samples": bits & (2**36 - 1)} | lie
        packed = has["rate"] << 44 | has["channels"] - 1 << 41 | has["bits"] - 1 << 36 | has["samples"]
        return _at(18, ">Q", packed)(whole)

    return told


def _element(name: bytes, form: str, value: float) -> Lie:
    """A Matroska element that has the length of `form`."""
    size = struct.calcsize(form)
    return lambda whole: _after(name + bytes([0x80 | size]), 0, form, value)(whole)


def _xing(behind: int, value: int) -> Lie:
    def told(whole: bytes) -> bytes:
        place = max(whole.find(b"Xing"), whole.find(b"Info"))
        assert place > 0
        return _at(place + behind, ">I", value)(whole)

    return told


def _ogg(behind: int, form: str, value: int) -> Lie:
    """A field of OpusHead, its page's sum made right again."""
    return lambda whole: _summed(_at(whole.index(b"OpusHead") + behind, form, value)(whole))


def _ogg_end(value: int) -> Lie:
    """The last page's place in time, which tells players how long it is."""
    return lambda whole: _summed(_at(whole.rindex(b"OggS") + 6, "<q", value)(whole))


def _summed(whole: bytes) -> bytes:
    pages = [b"OggS" + page for page in whole.split(b"OggS")[1:]]
    return b"".join(page[:22] + struct.pack("<I", _sum(page[:22] + bytes(4) + page[26:])) + page[26:] for page in pages)


def _sum(page: bytes) -> int:
    """RFC 3533's CRC-32: polynomial 0x04c11db7, not reflected, from 0."""
    found = 0
    for byte in page:
        found ^= byte << 24
        for _ in range(8):
            found = (found << 1 ^ 0x04C11DB7 if found & 0x80000000 else found << 1) & 0xFFFFFFFF
    return found
