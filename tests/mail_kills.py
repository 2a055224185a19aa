"""Workers and brokers are killed at random moments while messages are written; then it is counted what arrived.

The mail server (`tests/postbox.py`) stays. A worker with its beat is the supervisor's own command, or forked from the
garage's warm program, which is cheaper; the Redis is a program with the options of docker-compose.yml.
"""

from __future__ import annotations

import contextlib
import subprocess
import threading
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Protocol

from garage.running import running_lock
from garage.running.parts import workers
from garage.running.parts.keeping import end_groups
from garage.running.serve import die_with_parent
from tests.postbox import Postbox
from tests.processes import free_port, still_running
from tests.servers import ROOT, Garage, wait_for_port

KEEPS_NOTHING = ["--save", "", "--appendonly", "no"]  # as in docker-compose.yml: rows and sweeps are what is kept
THINKS_S = 0.1  # the most that the mail server takes for one mail, so that many a moment falls into a sending
WORKER, REDIS = "worker", "redis"
KINDS = (REDIS, WORKER, "both")
ALL_LIMIT_S = 900.0  # s; only so that a run that fails ends

WRITE = """
import time
from django.db import transaction
from django.utils import timezone
from garage.changes.mail import messages

for number in range({first}, {first} + {count}):
    with transaction.atomic():
        words = messages.Letter(f"Message {{number}}", "Words.\\n" * 200, "<p>Words.</p>")
        messages.keep("visit_booked", words, to=f"owner{{number}}@example.org", visit=None, now=timezone.now())
    time.sleep({pause_s})
"""
FORKED = """
import os
log = os.open({log!r}, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
os.dup2(log, 1)
os.dup2(log, 2)
os.environ["CELERY_SKIP_CHECKS"] = "yes"
from datetime import timedelta
from celery import signals
import garage.tasks
from garage.celery import app
from garage.changes.mail import messages

signals.import_modules.receivers = []
messages.LEASE = timedelta(seconds={lease_s})
app.conf.beat_schedule = {{"send what is due": {{"task": "garage.tasks.send_due", "schedule": 0.5}}}}
app.worker_main({options})
"""
OPTIONS = ["worker", "--beat", "--concurrency=3", "--loglevel=error", "--without-gossip", "--without-mingle"]


class Worker(Protocol):
    def start(self) -> None: ...

    def lives(self) -> bool: ...

    def kill(self) -> None:
        """With everything that it has started."""


@dataclass
class OwnWorker:
    """The worker with its beat, by the supervisor's own command. What it says goes to worker.log in the folder."""

    garage: Garage

    def start(self) -> None:
        with (self.garage.data / "worker.log").open("ab") as log:
            self.child = subprocess.Popen(
                workers.worker_commands((running_lock.WORKER, running_lock.BEAT))[workers.WORKER],
                cwd=ROOT,
                env=self.garage.environment,
                stdout=log,
                stderr=log,
                start_new_session=True,
                preexec_fn=die_with_parent,
            )

    def lives(self) -> bool:
        return self.child.poll() is None

    def kill(self) -> None:
        end_groups([self.child])
        self.child.wait()


@dataclass
class ForkedWorker:
    """The same worker, but forked from the warm program with a short lease, the tasks of the lowest room only, and a
    beat that sweeps twice a second. What it says goes to the same file.
    """

    garage: Garage
    lease_s: float

    def start(self) -> None:
        log = str(self.garage.data / "worker.log")
        self.work = self.garage.begin(FORKED.format(log=log, lease_s=self.lease_s, options=OPTIONS))

    def lives(self) -> bool:
        return bool(still_running({self.work.number}))

    def kill(self) -> None:
        self.work.kill()


@dataclass
class Redis:
    """A Redis of its own that can be killed and started again on its port."""

    folder: Path
    port: int = field(default_factory=free_port)

    @property
    def url(self) -> str:
        return f"redis://127.0.0.1:{self.port}/0"

    def start(self) -> None:
        options = ["--port", str(self.port), "--bind", "127.0.0.1", "--dir", str(self.folder), *KEEPS_NOTHING]
        self.child = subprocess.Popen(
            ["redis-server", *options],
            stdout=subprocess.DEVNULL,
            start_new_session=True,
            preexec_fn=die_with_parent,
        )
        wait_for_port(self.port, self.child, "redis-server")

    def kill(self) -> None:
        end_groups([self.child])
        self.child.wait()


@dataclass
class Found:
    """What was killed how often; messages by their number in the database."""

    killed: Counter[str]
    fell: int  # how often a worker ended that nobody had killed
    written: int
    arrived: Counter[int]  # how often each
    numbers: dict[int, set[str]]  # the Message-IDs under which each arrived
    cut_off: set[int]  # claimed and not marked when a worker was killed
    said_twice: set[int]  # of which the sent page says so
    waited_s: list[float]  # of those that were not cut off, from written to sent, in order
    cut_off_waited_s: list[float]

    @property
    def repeated(self) -> set[int]:
        return {message for message, times in self.arrived.items() if times > 1}

    @property
    def faults(self) -> list[str]:
        """What must never be, in words; empty if all is well."""
        found = {
            "workers ended by themselves": self.fell,
            "never arrived": self.written - len(self.arrived),
            "arrived again without having been cut off": len(self.repeated - self.cut_off),
            "arrived again under another Message-ID": sum(len(ids) > 1 for ids in self.numbers.values()),
            "cut off, and the sent page does not say so": len(self.cut_off ^ self.said_twice),
        }
        return [f"{count} {what}" for what, count in found.items() if count]


@dataclass
class Run:
    """redis: None for a garage whose broker is the folder of files, which only its worker holds."""

    garage: Garage
    box: Postbox
    worker: Worker
    redis: Redis | None
    chance: Random
    written: int = 0
    fell: int = 0
    cut_off: set[int] = field(default_factory=set)
    killed: Counter[str] = field(default_factory=Counter)

    def through(self, moments: int, *, each: int, within_s: float, starting: float) -> Found:
        """So many moments, a kind of kill after the other, each within within_s seconds of a mail from
        the worker started before.

        starting: the share of those that come while it starts. each: messages that are written meanwhile.
        """
        self.garage.shell("from tests.factories import garage\ngarage.shop()")
        self.box.slow_s = lambda: self.chance.uniform(0, THINKS_S)
        self.worker.start()
        try:
            for number in range(moments):
                with self._written_meanwhile(each, within_s):
                    if self.chance.random() >= starting:
                        self.box.wait_for(len(self.box.mails) + 1, ALL_LIMIT_S)
                    time.sleep(self.chance.uniform(0, within_s))
                    self._kill(KINDS[number % 3] if self.redis else WORKER)
            self._wait_for_all()
            self.fell += not self.worker.lives()
        finally:
            self.worker.kill()
        return self._found()

    @contextlib.contextmanager
    def _written_meanwhile(self, count: int, within_s: float) -> Iterator[None]:
        code = WRITE.format(first=self.written, count=count, pause_s=0.7 * within_s / count)
        failed: list[BaseException] = []

        def write() -> None:
            try:
                self.garage.shell(code)
            except (AssertionError, OSError) as error:
                failed.append(error)

        writing = threading.Thread(target=write)
        writing.start()
        yield
        writing.join()
        assert failed == [], "a message could not be written while the broker was away"
        self.written += count

    def _kill(self, kind: str) -> None:
        self.killed[kind] += 1
        if kind != WORKER:
            self.redis.kill()
        if kind != REDIS:
            self.fell += not self.worker.lives()
            self.worker.kill()
            in_hand = {number for (number,) in self.garage.rows("select id from garage_message where in_hand")}
            self.cut_off |= in_hand
        time.sleep(self.chance.uniform(0, 1))
        if kind != WORKER:
            self.redis.start()
        if kind != REDIS:
            self.worker.start()

    def _wait_for_all(self) -> None:
        until_s = time.monotonic() + ALL_LIMIT_S
        while (left := self.garage.rows("select count(*) from garage_message where sent_at is null")) != [(0,)]:
            assert time.monotonic() < until_s, f"{left} messages were never sent"
            time.sleep(0.2)

    def _found(self) -> Found:
        took = "(julianday(sent_at) - julianday(written_at)) * 86400"
        if self.garage.database_url:
            took = "extract(epoch from sent_at - written_at)::float"
        rows = self.garage.rows(f"select id, subject, perhaps_twice, {took} from garage_message")  # noqa: S608
        numbers = {subject: number for number, subject, _, _ in rows}
        mails = [(numbers[mail["Subject"]], mail["Message-ID"]) for mail in self.box.mails]
        return Found(
            killed=self.killed,
            fell=self.fell,
            written=self.written,
            arrived=Counter(number for number, _ in mails),
            numbers={number: {name for one, name in mails if one == number} for number in numbers.values()},
            cut_off=self.cut_off,
            said_twice={number for number, _, is_said, _ in rows if is_said},
            waited_s=sorted(waited for number, _, _, waited in rows if number not in self.cut_off),
            cut_off_waited_s=sorted(waited for number, _, _, waited in rows if number in self.cut_off),
        )
