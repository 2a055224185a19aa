"""Clips as people send them, through the task: what can be heard is, all else gets a sentence and the worker lives."""

from __future__ import annotations

import io
import os
import signal
import struct
import threading
import wave
from pathlib import Path

import numpy as np
import pytest
from celery.exceptions import SoftTimeLimitExceeded
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from diagnostics.core.findings import UNCLEAR
from diagnostics.hearing import tasks
from diagnostics.hearing.changes import clips, taking_in
from diagnostics.hearing.models.clips import Clip
from garage.models.actors import OWNER
from tests.browser import rev_out
from tests.diagnostics import absurd_clips
from tests.factories import garage
from tests.revouts.codecs import Codec, encoded

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True, scope="module")
def _child_ends():
    """One child for them all, as a worker has it: a test that stops it shows that the next clip starts another."""
    yield
    tasks.decoder.close()


def sent(visit, content, name="clip.wav"):
    """The clip after the worker has had it."""
    clip = taking_in.send(visit, upload=SimpleUploadedFile(name, content), now=timezone.now())
    tasks.hear_clips()
    clip.refresh_from_db()
    return clip


def wav(samples, rate_hz=8000, channels=1, frames=None):
    """A WAV file; frames: what its header says of its length, where that is a lie."""
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(2)
        file.setframerate(rate_hz)
        file.writeframes((np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes())
    content = bytearray(out.getvalue())
    if frames is not None:
        content[40:44] = struct.pack("<I", frames)
    return bytes(content)


def noise(seconds, rate_hz=8000, channels=1):
    return 0.3 * np.random.default_rng(5).standard_normal(round(seconds * rate_hz) * channels)


@pytest.mark.parametrize(("kind", "verdict"), [("healthy", "revs-out"), ("breaks", "breaks-down")])
def test_a_rev_out_is_heard_and_kept_with_trace_and_outline(visit, kind, verdict):
    clip = sent(visit, rev_out.clip(kind), "rev-out.m4a")
    assert (clip.state, clip.verdict, clip.tries) == (Clip.HEARD, verdict, 1)
    assert len(clip.heard.outline) == 600
    assert len(clip.heard.rpm) == pytest.approx(clip.heard.seconds / clip.heard.step_s, 2)
    assert clip.heard.fires_per_turn == 1.0


def test_speed_is_by_the_firings_of_its_own_machine(visit):
    """A twin that fires twice a turn makes the same sound at half the speed."""
    single = sent(visit, rev_out.clip("healthy"), "rev-out.m4a").heard.idle_rpm
    twin = garage.visit(machine=garage.machine(kind=garage.machine_kind(model="250", fires_per_turn=2)))
    assert sent(twin, rev_out.clip("healthy"), "rev-out.m4a").heard.idle_rpm == pytest.approx(single / 2, rel=0.02)


def picture_renamed():
    out = io.BytesIO()
    Image.new("RGB", (64, 64), (120, 110, 90)).save(out, "JPEG")
    return out.getvalue()


def three_hours_of_silence():
    """A minute of MP3 over and over: its frames stand alone."""
    return encoded(np.zeros(60 * 8000), Codec("", "mp3", "libmp3lame", 8000, 8000), 8000) * 180


CANNOT_BE_HEARD = {
    "a track of zero length": (lambda: wav(noise(0)), "a.wav"),
    "a picture renamed": (picture_renamed, "a.m4a"),
    "words renamed": (lambda: b"This is no sound." * 100, "a.mp3"),
    "a header only": (lambda: rev_out.clip("healthy")[:40], "a.m4a"),
    "a playlist that points elsewhere": (lambda: b"#EXTM3U\n#EXTINF:10,\nfile:///etc/hostname\n", "a.m3u8"),
    "an hour": (lambda: wav(np.zeros(3600 * 8000)), "a.wav"),
}


@pytest.mark.parametrize(("made", "name"), CANNOT_BE_HEARD.values(), ids=CANNOT_BE_HEARD)
def test_what_cannot_be_heard_gets_a_sentence_and_the_next_is_heard(visit, made, name):
    clip = sent(visit, made(), name)
    assert clip.state == Clip.NOT_HEARD
    assert clip.trouble.startswith("This clip ")
    assert clip.trouble.endswith(".")
    assert "Error" not in clip.trouble
    assert sent(visit, rev_out.clip("healthy"), "rev-out.m4a").state == Clip.HEARD


@pytest.mark.parametrize("frames", [0xFFFFFFFF, 0x7FFFFFF0, 3, 0])
def test_a_header_that_lies_about_its_length_is_heard_as_far_as_it_goes_or_said(visit, frames):
    clip = sent(visit, wav(noise(2), frames=frames))
    assert clip.state in (Clip.HEARD, Clip.NOT_HEARD)
    assert clip.state == Clip.NOT_HEARD or clip.heard.seconds <= 2.01
    assert clip.state == Clip.HEARD or clip.trouble


def test_absurd_headers_of_every_container_are_heard_or_said_and_the_worker_lives(visit, monkeypatch):
    monkeypatch.setattr(taking_in, "MOST_A_DAY", 1000)
    told = set()
    for name, ending, content in absurd_clips.named(noise(1, absurd_clips.MADE_HZ)):
        clip = sent(visit, content, f"a.{ending}")
        assert clip.state in (Clip.HEARD, Clip.NOT_HEARD), name
        if clip.state == Clip.NOT_HEARD:
            assert clip.trouble.startswith("This clip "), name
            assert "made the program that listens to it fail" not in clip.trouble, name
            told.add(clip.trouble)
        else:
            assert clip.verdict == UNCLEAR, name
        clips.delete(clip, by=OWNER, now=timezone.now())
    assert len(told) < 12  # a few kinds of trouble, each in its own sentence
    assert sent(visit, rev_out.clip("healthy"), "rev-out.m4a").state == Clip.HEARD


def test_96_khz_in_stereo_is_heard(visit):
    clip = sent(visit, wav(noise(2, 96_000, 2), 96_000, 2))
    assert (clip.state, clip.verdict) == (Clip.HEARD, "unclear")
    assert clip.heard.seconds == pytest.approx(2, abs=0.05)


def test_three_hours_of_silence_are_refused_by_their_length(visit):
    """Some ten megabytes, as a phone left running in a pocket makes."""
    silence = three_hours_of_silence()
    assert len(silence) < 100_000_000
    clip = sent(visit, silence, "pocket.mp3")
    assert clip.state == Clip.NOT_HEARD
    assert "longer than 3 minutes" in clip.trouble


@pytest.fixture
def stopped_child(visit):
    """The decoder's child at a halt: given a clip it never answers, as one whose decoder hangs."""
    sent(visit, rev_out.clip("breaks"), "before.m4a")
    child = tasks.decoder._child.pid
    os.kill(child, signal.SIGSTOP)
    return child


def test_a_decoder_that_dies_costs_its_clip_a_sentence_and_nothing_else(visit, stopped_child):
    """The child is killed with the clip in hand, as a crash in C code would kill it."""
    death = threading.Timer(0.5, os.kill, [stopped_child, signal.SIGKILL])
    death.start()
    clip = sent(visit, rev_out.clip("healthy"), "rev-out.m4a")
    death.join()
    assert clip.state == Clip.NOT_HEARD
    assert "crashed the decoder" in clip.trouble
    clips.hear_again(clip, by=garage.person(), now=timezone.now())
    tasks.hear_clips()
    clip.refresh_from_db()
    assert clip.state == Clip.HEARD
    assert tasks.decoder._child.pid != stopped_child


@pytest.fixture
def soft_limit():
    """As in Celery's worker: a signal whose handler raises within the task."""

    def over(*_):
        raise SoftTimeLimitExceeded

    before = signal.signal(signal.SIGALRM, over)
    signal.setitimer(signal.ITIMER_REAL, 0.5)
    yield
    signal.setitimer(signal.ITIMER_REAL, 0)
    signal.signal(signal.SIGALRM, before)


def test_a_clip_that_takes_too_long_gets_a_sentence_and_the_next_is_heard(visit, stopped_child, soft_limit):
    clip = sent(visit, wav(noise(1)))
    assert "took more than 120 s" in clip.trouble
    assert sent(visit, rev_out.clip("healthy"), "rev-out.m4a").state == Clip.HEARD


def test_a_file_that_is_gone_from_the_disk_is_said(visit):
    clip = taking_in.send(visit, upload=SimpleUploadedFile("a.wav", wav(noise(1))), now=timezone.now())
    os.unlink(clip.file.path)
    tasks.hear_clips()
    clip.refresh_from_db()
    assert "cannot be opened" in clip.trouble


def test_with_nothing_to_hear_nothing_happens():
    tasks.hear_clips()


def test_once_heard_a_clip_is_kept_as_sound_alone_and_can_be_heard_again(visit, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        clip = sent(visit, rev_out.clip("healthy"), "rev-out.m4a")
    assert clip.file.name.endswith(".mp3")
    assert clip.file.size < clip.size_bytes * 3
    assert [path.suffix for path in Path(clip.file.path).parent.iterdir() if clip.file.name not in str(path)] == []
    verdict = clip.verdict
    clips.hear_again(clip, by=garage.person(), now=timezone.now())
    tasks.hear_clips()
    clip.refresh_from_db()
    assert (clip.state, clip.verdict) == (Clip.HEARD, verdict)


def test_a_shop_that_keeps_originals_keeps_them_to_the_last_byte(visit):
    garage.shop(keeps_clip_originals=True)
    content = rev_out.clip("healthy")
    assert Path(sent(visit, content, "rev-out.m4a").file.path).read_bytes() == content


def test_what_cannot_be_heard_stays_as_it_was_sent(visit):
    assert Path(sent(visit, b"no sound", "rev-out.m4a").file.path).read_bytes() == b"no sound"
