"""Real workers on real brokers hand real mails to a mail server: by a wake, and by the sweep when the wake is lost.

The garages are shared by the tests of this file, so each test has mails and clips of its own name.
"""

from __future__ import annotations

import contextlib
import os
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.postbox import GREETING, Postbox, postbox
from tests.processes import descendants
from tests.servers import LiveTickover

pytestmark = pytest.mark.long(minutes=2)

WAIT_LIMIT_S = 90.0  # s; only so that a test that fails ends
SMALL, BIG = ("sqlite", "filesystem"), ("postgresql", "redis")
on_both = pytest.mark.parametrize("garage", [SMALL, BIG], ids=["sqlite-filesystem", "postgresql-redis"], indirect=True)
on_the_small_one = pytest.mark.parametrize("garage", [SMALL], ids=["sqlite-filesystem"], indirect=True)

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


class Garage(NamedTuple):
    live: LiveTickover
    box: Postbox

    def mails(self, subject: str) -> list[str]:
        """To whom the mails with this subject went."""
        return [mail["To"] for mail in self.box.mails if mail["Subject"] == subject]


@pytest.fixture(scope="module")
def garage(request: pytest.FixtureRequest, shared_tickover: Callable[..., LiveTickover]) -> Iterator[Garage]:
    database, broker = request.param
    with postbox() as box:
        yield Garage(shared_tickover(database=database, broker=broker, variables={"EMAIL_URL": box.url}), box)


def wait_for(happened: Callable[[], object], said: list[str]) -> None:
    give_up_s = time.monotonic() + WAIT_LIMIT_S
    while not happened():
        assert time.monotonic() < give_up_s, f"it never happened; the server said {said}"
        time.sleep(0.1)


@on_both
def test_a_message_written_in_a_transaction_reaches_the_mail_server_once(garage):
    live = garage.live
    for subject in ("Your visit", "Your other visit"):
        live.shell(WRITE.format(subject=subject, then=WAKE))
    written = "select sent_at is not null, tries, kept_here from garage_message where subject like 'Your%visit'"
    wait_for(lambda: live.rows(written) == [(True, 1, False)] * 2, live.said)
    assert garage.mails("Your visit") == garage.mails("Your other visit") == ["owner@example.org"]


WRITE_THIRTY = """
from django.db import transaction
from django.utils import timezone
from garage.changes.mail import messages
from garage.reads.shop import the_shop
from tests.factories import garage as make
make.shop()
visit = make.visit()
for number in range(30):
    with transaction.atomic():
        to, now = f"owner{number}@example.org", timezone.now()
        messages.write("visit_booked", to=to, visit=visit, shop=the_shop(), context={}, now=now)
"""


@on_both
def test_workers_woken_for_each_message_send_each_once(garage):
    live = garage.live
    live.shell(WRITE_THIRTY)
    written = "select sent_at is not null, tries from garage_message where text like '%Quarry Lane%'"
    wait_for(lambda: live.rows(written) == [(True, 1)] * 30, live.said)
    wanted = sorted(f"owner{number}@example.org" for number in range(30))
    came = [mail for mail in garage.box.mails if mail["To"] in wanted]
    assert sorted(mail["To"] for mail in came) == wanted
    assert len({mail["Message-ID"] for mail in came}) == 30


@on_the_small_one
def test_a_message_whose_wake_was_lost_is_found_by_the_sweep(garage):
    garage.live.shell(WRITE.format(subject="The wake was lost", then="pass"))
    wait_for(lambda: garage.mails("The wake was lost"), garage.live.said)
    assert garage.mails("The wake was lost") == ["owner@example.org"]


SWEEP = """
from datetime import timedelta
from django.utils import timezone
from garage.changes.people import attempts
from garage.wake import wake

attempts.tried("wrong-password", key="old", now=timezone.now() - timedelta(days=2))
wake("garage.tasks.free_lapsed_holds")
"""


@on_both
def test_while_the_mail_server_stalls_one_process_waits_for_it_and_other_tasks_go_on(garage):
    garage.box.stalls.add(GREETING)
    garage.box.most_talking = 0
    try:
        for number in range(6):
            garage.live.shell(WRITE.format(subject=f"Stalled {number}", then=WAKE))
        wait_for(lambda: garage.box.talking, garage.live.said)
        garage.live.shell(SWEEP)
        swept = "select count(*) from garage_attempt where key = 'old'"
        wait_for(lambda: garage.live.rows(swept) == [(0,)], garage.live.said)
        assert garage.box.most_talking == 1
    finally:
        garage.box.let_go()
    wait_for(lambda: any(garage.mails(f"Stalled {number}") for number in range(6)), garage.live.said)


def test_messages_waiting_at_a_kill_are_sent_after_the_next_start(live_tickover, tmp_path):
    kept = tmp_path / "kept"
    first = live_tickover(data=kept, part="web")
    first.shell(WRITE.format(subject="Your visit", then=WAKE))
    for process in descendants(first.child.pid):
        os.kill(process, signal.SIGKILL)
    first.stop()
    assert first.rows("select count(*) from garage_message where sent_at is null") == [(1,)]
    with postbox() as box:
        second = live_tickover(data=kept, variables={"EMAIL_URL": box.url})
        wait_for(lambda: box.mails, second.said)


def test_without_a_mail_server_a_message_is_kept_to_be_read_on_the_sent_page(live_tickover):
    live = live_tickover()
    live.shell(WRITE.format(subject="Your visit", then=WAKE))
    wait_for(lambda: live.rows("select count(*) from garage_message where kept_here") == [(1,)], live.said)


SEND_A_CLIP = """
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from diagnostics.hearing.changes import taking_in
from jobs.demo.booking import CLIP
from tests.factories import garage as make

make.shop()
visit = make.visit(machine=make.machine(kind=make.machine_kind()))
for name, content in (("words.m4a", b"No sound at all."), ("rev-out.webm", CLIP.read_bytes())):
    taking_in.send(visit, upload=SimpleUploadedFile(name, content), now=timezone.now())
"""
CLIPS = "select name, state from diagnostics_clip order by name"


@on_both
def test_clips_are_heard_by_a_worker_of_their_own_which_outlives_a_bad_one(garage):
    live = garage.live
    live.shell(SEND_A_CLIP)
    heard = [("rev-out.webm", "heard"), ("words.m4a", "not-heard")]
    wait_for(lambda: [tuple(row) for row in live.rows(CLIPS)] == heard, live.said)
    assert live.rows("select count(*) from diagnostics_judgement") == [(1,)]
    assert "Traceback" not in "".join(live.said)


SEND_A_LONG_CLIP = """
import io, wave
import numpy as np
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from diagnostics.hearing.changes import taking_in
from tests.factories import garage as make

file = io.BytesIO()
with wave.open(file, "wb") as out:
    out.setparams((1, 2, 44100, 0, "NONE", ""))
    out.writeframes((3000 * np.random.default_rng(1).standard_normal(170 * 44100)).astype("<i2").tobytes())
make.shop()
visit = make.visit(machine=make.machine(kind=make.machine_kind()))
taking_in.send(visit, upload=SimpleUploadedFile("long.wav", file.getvalue()), now=timezone.now())
"""


def those_that_hear(live) -> set[int]:
    """The processes under the main one of the clips' worker that work on clips, the decoder's child apart."""
    hearing = set()
    for number in descendants(live.child.pid):
        with contextlib.suppress(FileNotFoundError, ProcessLookupError):  # it ended while the list was read
            if b"hearing@" in Path(f"/proc/{number}/cmdline").read_bytes():
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
