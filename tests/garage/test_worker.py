"""Real workers on real brokers hand real mails to a mail server: by a wake, and by the sweep when the wake is lost."""

import contextlib
import os
import signal
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.mail_server import mail_server
from tests.processes import descendants

WAIT_LIMIT_S = 90.0  # s; only so that a test that fails ends

WRITE = """
from datetime import timedelta
from django.db import transaction
from django.utils import timezone
from garage.models.messages import Message
from garage.wake import wake
from tests.factories import garage as make

now = timezone.now()
make.shop()
with transaction.atomic():
    Message.objects.create(
        what="visit_booked", to="owner@example.org", subject="{subject}", text="Booked.", html="<p>Booked.</p>",
        written_at=now, due_at=now,
    )
    {then}
"""
WAKE = 'wake("garage.tasks.send_due")'


def wait_for(happened: Callable[[], object], said: list[str]) -> None:
    give_up_s = time.monotonic() + WAIT_LIMIT_S
    while not happened():
        assert time.monotonic() < give_up_s, f"it never happened; the server said {said}"
        time.sleep(0.1)


@pytest.mark.parametrize(("database", "broker"), [("sqlite", "filesystem"), ("postgresql", "redis")])
def test_a_message_written_in_a_transaction_reaches_the_mail_server_once(live_tickover, database, broker):
    with mail_server() as post:
        live = live_tickover(database=database, broker=broker, variables={"EMAIL_URL": post.url})
        live.shell(WRITE.format(subject="Your visit", then=WAKE))
        live.shell(WRITE.format(subject="Your other visit", then=WAKE))
        wait_for(lambda: len(post.mails) >= 2, live.said)
        wait_for(lambda: live.rows("select count(*) from garage_message where sent_at is null") == [(0,)], live.said)
    assert sorted(mail["Subject"] for mail in post.mails) == ["Your other visit", "Your visit"]
    assert {mail["To"] for mail in post.mails} == {"owner@example.org"}
    assert live.rows("select count(*) from garage_message where tries <> 1 or kept_here") == [(0,)]


def test_a_message_whose_wake_was_lost_is_found_by_the_sweep(live_tickover):
    with mail_server() as post:
        live = live_tickover(variables={"EMAIL_URL": post.url})
        live.shell(WRITE.format(subject="Your visit", then="pass"))
        wait_for(lambda: post.mails, live.said)
    assert [mail["Subject"] for mail in post.mails] == ["Your visit"]


def test_what_waited_when_all_was_killed_is_sent_after_the_next_start(live_tickover, tmp_path):
    kept = tmp_path / "kept"
    first = live_tickover(data=kept, part="web")
    first.shell(WRITE.format(subject="Your visit", then=WAKE))
    for process in descendants(first.child.pid):
        os.kill(process, signal.SIGKILL)
    first.stop()
    assert first.rows("select count(*) from garage_message where sent_at is null") == [(1,)]
    with mail_server() as post:
        second = live_tickover(data=kept, variables={"EMAIL_URL": post.url})
        wait_for(lambda: post.mails, second.said)


def test_without_a_mail_server_a_message_is_kept_to_be_read_on_the_sent_page(live_tickover):
    live = live_tickover()
    live.shell(WRITE.format(subject="Your visit", then=WAKE))
    wait_for(lambda: live.rows("select count(*) from garage_message where kept_here") == [(1,)], live.said)


SEND_A_CLIP = """
from django.core.files.uploadedfile import SimpleUploadedFile
from diagnostics.hearing.changes import clips
from jobs.demo.booking import CLIP
from tests.factories import garage as make

make.shop()
visit = make.visit(machine=make.machine(kind=make.machine_kind()))
for name, content in (("words.m4a", b"No sound at all."), ("rev-out.webm", CLIP.read_bytes())):
    clips.take_in(visit, upload=SimpleUploadedFile(name, content))
"""
CLIPS = "select name, state from diagnostics_clip order by name"


@pytest.mark.parametrize(("database", "broker"), [("sqlite", "filesystem"), ("postgresql", "redis")])
def test_clips_are_heard_by_a_worker_of_their_own_which_outlives_a_bad_one(live_tickover, database, broker):
    live = live_tickover(database=database, broker=broker)
    live.shell(SEND_A_CLIP)
    heard = [("rev-out.webm", "heard"), ("words.m4a", "not-heard")]
    wait_for(lambda: [tuple(row) for row in live.rows(CLIPS)] == heard, live.said)
    assert live.rows("select count(*) from diagnostics_judgement") == [(1,)]
    assert "Traceback" not in "".join(live.said)


SEND_A_LONG_CLIP = """
import io, wave
import numpy as np
from django.core.files.uploadedfile import SimpleUploadedFile
from diagnostics.hearing.changes import clips
from tests.factories import garage as make

file = io.BytesIO()
with wave.open(file, "wb") as out:
    out.setparams((1, 2, 44100, 0, "NONE", ""))
    out.writeframes((3000 * np.random.default_rng(1).standard_normal(170 * 44100)).astype("<i2").tobytes())
make.shop()
visit = make.visit(machine=make.machine(kind=make.machine_kind()))
clips.take_in(visit, upload=SimpleUploadedFile("long.wav", file.getvalue()))
"""


def those_that_hear(live) -> set[int]:
    """The processes under the main one of the clips' worker that work on clips, the decoder's child apart."""
    hearing = set()
    for number in descendants(live.child.pid):
        with contextlib.suppress(FileNotFoundError, ProcessLookupError):  # it ended while the list was read
            if b"--queues=hearing" in Path(f"/proc/{number}/cmdline").read_bytes():
                hearing.add(number)
    return set().union(*(descendants(number) & hearing for number in hearing))


def test_a_clip_whose_worker_was_killed_is_heard_by_the_next_sweep_and_once(live_tickover):
    live = live_tickover()
    live.shell(SEND_A_LONG_CLIP)
    wait_for(lambda: live.rows("select state from diagnostics_clip") == [("working",)], live.said)
    killed = those_that_hear(live)
    assert killed
    for process in killed:
        os.kill(process, signal.SIGKILL)
    wait_for(lambda: live.rows("select state from diagnostics_clip") == [("heard",)], live.said)
    assert live.rows("select tries from diagnostics_clip") == [(2,)]
    assert live.rows("select count(*) from diagnostics_judgement") == [(1,)]
    assert live.rows("select count(*) from garage_trailrow where did like 'clip heard%%'") == [(1,)]
