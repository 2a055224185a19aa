"""Clips of every kind a phone makes become samples; what cannot, a sentence. The child may die: the parent lives."""

import os
import re
import signal
import struct
import wave
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from diagnostics.hearing.decoding import decode_child
from diagnostics.hearing.decoding.decode import Decoder
from garage.core.errors import Showable
from tests.diagnostics import absurd_clips
from tests.revouts.codecs import CODECS, Codec, encoded, suffix
from tests.revouts.sound import MADE_HZ

TONE_HZ = 300.0


@pytest.fixture(scope="module")
def decoder():
    with Decoder() as started:
        yield started


def tone(seconds=2.0):
    return 0.5 * np.sin(2 * np.pi * TONE_HZ * np.arange(int(seconds * MADE_HZ)) / MADE_HZ)


def refused(decoder, path):
    with pytest.raises(Showable) as caught:
        decoder.samples(str(path))
    sentence = caught.value.sentence
    assert sentence.endswith(".")
    assert "allowed" in sentence
    assert "Traceback" not in sentence
    return sentence


@pytest.mark.parametrize("name", CODECS)
def test_every_codec_gives_the_tone_that_was_put_in(decoder, tmp_path, name):
    path = tmp_path / f"clip.{suffix(CODECS[name])}"
    path.write_bytes(encoded(tone(), CODECS[name]))
    samples = decoder.samples(str(path))
    assert len(samples) / 8000 == pytest.approx(2.0, abs=0.03)
    middle = samples[4000:12000] * np.hanning(8000)
    assert np.argmax(np.abs(np.fft.rfft(middle))) == pytest.approx(TONE_HZ, abs=1)  # one bin is 1 Hz


def test_channels_that_cancel_each_other_are_still_heard(decoder, tmp_path):
    with wave.open(str(tmp_path / "a.wav"), "wb") as out:
        out.setnchannels(2)
        out.setsampwidth(2)
        out.setframerate(16000)
        left = (tone() * 20000).astype("<i2")
        out.writeframes(np.column_stack([left, -left]).tobytes())
    assert np.std(decoder.samples(str(tmp_path / "a.wav"))) > 0.1


def test_a_clip_whose_rate_changes_within_is_heard_to_its_end(decoder, tmp_path):
    """As some phones write it when a call comes in; two streams of raw AAC one after the other are one."""
    path = tmp_path / "two.aac"
    path.write_bytes(b"".join(encoded(tone(), Codec("", "adts", "aac", rate, 64000)) for rate in (44100, 22050)))
    samples = decoder.samples(str(path))
    assert len(samples) / 8000 == pytest.approx(4.0, abs=0.2)
    for part in (samples[4000:12000], samples[20000:28000]):
        spectrum = np.abs(np.fft.rfft(part * np.hanning(len(part))))
        assert np.argmax(spectrum) == pytest.approx(TONE_HZ, abs=2)


def plain_wav(seconds=1.0, rate_hz=16000):
    data = (np.zeros(int(seconds * rate_hz)) + 3).astype("<i2").tobytes()
    head = (
        b"RIFF"
        + struct.pack("<I", 36 + len(data))
        + b"WAVEfmt "
        + struct.pack("<IHHIIHH", 16, 1, 1, rate_hz, 2 * rate_hz, 2, 16)
    )
    return head + b"data" + struct.pack("<I", len(data)) + data


def test_a_header_with_an_absurd_length_is_taken_for_what_is_there(decoder, tmp_path):
    whole = plain_wav()
    (tmp_path / "a.wav").write_bytes(whole[:4] + b"\xff\xff\xff\xff" + whole[8:40] + b"\xff\xff\xff\xff" + whole[44:])
    assert len(decoder.samples(str(tmp_path / "a.wav"))) == pytest.approx(8000, abs=10)


MOST_KB = 150_000  # the libraries alone take some 50 MB of it


def test_absurd_headers_of_every_container_give_what_is_there_or_a_sentence_in_bounded_memory(tmp_path):
    """Ten hours, 4 GB, 4 GHz, 255 channels, less than nothing: what is claimed is never believed nor made room for."""
    heard, said = [], {}
    with Decoder() as own:
        for name, ending, content in absurd_clips.named(tone()):
            path = tmp_path / f"a.{ending}"
            path.write_bytes(content)
            try:
                samples = own.samples(str(path))
            except Showable:
                said[name] = refused(own, path)
            else:
                assert np.isfinite(samples).all(), name
                assert len(samples) <= 2.1 * 8000, name
                heard.append(name)
        status = (Path("/proc") / str(own._child.pid) / "status").read_text()
    assert not [name for name, sentence in said.items() if "crashed the decoder" in sentence]
    assert not [sentence for sentence in said.values() if "(" in sentence.replace("(its track has no length)", "")]
    assert int(re.search(r"VmHWM:\s+(\d+) kB", status)[1]) < MOST_KB
    # What only the claim is wrong of is heard: the sound is there.
    assert {"wav length 4294967295", "flac samples 68719476735", "aac64 duration 4294967295"} <= set(heard)
    assert {"opus24 duration 1e+300", "opus48 end -5", "caf length 0", "mp3-64 frames 4294967295"} <= set(heard)


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.wav", b""),
        ("text.wav", b"no sound at all\n" * 500),
        ("zero.wav", plain_wav(0)),
        ("head.wav", plain_wav()[:20]),
        ("noise.mp4", bytes(range(256)) * 40),
        ("list.m3u8", b"#EXTM3U\n#EXTINF:10,\nfile:///etc/hostname\n"),
        ("list.wav", b"ffconcat version 1.0\nfile /etc/hostname\n"),
        ("slow.wav", plain_wav(1, 100)),
    ],
)
def test_bytes_that_are_no_clip_get_a_sentence(decoder, tmp_path, name, content):
    (tmp_path / name).write_bytes(content)
    refused(decoder, tmp_path / name)


@pytest.mark.parametrize("kind", ["png", "jpeg", "gif"])
def test_a_picture_with_a_sounds_name_gets_a_sentence(decoder, tmp_path, kind):
    Image.new("RGB", (60, 40), "red").save(tmp_path / "a.mp3", format=kind)
    assert refused(decoder, tmp_path / "a.mp3").startswith("clip is a picture, not a sound;")


def test_words_with_a_sounds_name_are_called_so(decoder, tmp_path):
    (tmp_path / "a.wav").write_text("Wärm, in neutral.\n" * 60)
    assert refused(decoder, tmp_path / "a.wav").startswith("clip is a text, not a sound;")


def test_a_file_that_may_not_be_read_is_called_so(tmp_path):
    path = tmp_path / "a.wav"
    path.write_bytes(plain_wav())
    path.chmod(0)
    before = os.geteuid()
    if before == 0:  # whom nothing is forbidden
        os.seteuid(65534)
    try:
        with pytest.raises(Showable, match="cannot be opened: it may not be read; allowed is a readable file"):
            decode_child.decoded(str(path))
    finally:
        os.seteuid(before)


def test_a_folder_and_a_file_that_is_not_there_are_called_so(decoder, tmp_path):
    assert "it is a folder" in refused(decoder, tmp_path)
    assert "there is no such file" in refused(decoder, tmp_path / "none.wav")


def test_directories_pipes_and_missing_files_get_a_sentence(decoder, tmp_path):
    os.mkfifo(tmp_path / "pipe.wav")
    for path in (tmp_path, tmp_path / "pipe.wav", tmp_path / "none.wav", tmp_path / ("long" * 100), "a\0b.wav"):
        refused(decoder, path)


def test_three_hours_are_refused_by_their_length_and_a_hundred_megabytes_by_their_size(decoder, tmp_path):
    with open(tmp_path / "long.wav", "wb") as file:  # sparse: takes no room on the disk
        file.write(plain_wav(0, 8000)[:40] + struct.pack("<I", 80 * 2**20))
        file.truncate(80 * 2**20)
    assert "longer than 3 minutes" in refused(decoder, tmp_path / "long.wav")
    with open(tmp_path / "large.wav", "wb") as file:
        file.truncate(100 * 2**20 + 1)
    assert "at most 100 MB" in refused(decoder, tmp_path / "large.wav")


@pytest.mark.parametrize("name", ["wav", "aac64", "opus24", "mp3-64", "flac", "vorbis"])
def test_damaged_clips_give_what_is_left_or_a_sentence(decoder, tmp_path, name):
    rng = np.random.default_rng(7)
    whole = encoded(tone(1.0), CODECS[name])
    for number in range(12):
        damaged = bytearray(whole if number % 2 else whole[: len(whole) // 2])
        for place in rng.integers(0, len(damaged), 1 + 4 * number):
            damaged[place] = rng.integers(256)
        path = tmp_path / f"{number}.{suffix(CODECS[name])}"
        path.write_bytes(bytes(damaged))
        try:
            left = decoder.samples(str(path))
        except Showable:
            refused(decoder, path)
        else:
            assert np.isfinite(left).all()


def test_the_child_may_die_and_the_next_clip_is_decoded(tmp_path):
    (tmp_path / "a.wav").write_bytes(plain_wav())
    with Decoder() as own:
        own.samples(str(tmp_path / "a.wav"))
        os.kill(own._child.pid, signal.SIGKILL)
        own._child.wait()
        assert "crashed the decoder" in refused(own, tmp_path / "a.wav")
        assert len(own.samples(str(tmp_path / "a.wav"))) == 8000


def test_a_child_that_hangs_is_replaced(tmp_path):
    (tmp_path / "a.wav").write_bytes(plain_wav())
    with Decoder(seconds_a_clip=20) as own:
        own.samples(str(tmp_path / "a.wav"))
        hung = own._child.pid
        os.kill(hung, signal.SIGSTOP)
        own.seconds_a_clip = 0.3
        assert "to decode" in refused(own, tmp_path / "a.wav")
        own.seconds_a_clip = 20
        assert len(own.samples(str(tmp_path / "a.wav"))) == 8000
        assert own._child.pid != hung


def test_a_child_serves_so_many_clips_and_makes_room(tmp_path, monkeypatch):
    monkeypatch.setattr("diagnostics.hearing.decoding.decode.CLIPS_A_CHILD", 2)
    (tmp_path / "a.wav").write_bytes(plain_wav())
    children = set()
    with Decoder() as own:
        for _ in range(5):
            own.samples(str(tmp_path / "a.wav"))
            children.add(own._child.pid)
    assert len(children) == 3


def test_names_of_any_bytes_are_opened(decoder, tmp_path):
    name = os.fsencode(tmp_path) + b"/\xff\xfe\n.wav"
    with open(name, "wb") as file:
        file.write(plain_wav())
    assert len(decoder.samples(name)) == 8000
