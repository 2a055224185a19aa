"""Kills under load on both databases: `python -m tests.bench.kills 40 tests/bench/kills.md`.

A whole garage is started as `make run` starts it. Browsers book and bill while one process after the other is killed
with signal 9 at a random moment: web server, its processes, workers, theirs, the beat. Whatever is killed comes back.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import random
import signal
import sys
import threading
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import urlencode, urlsplit
from uuid import uuid4

from tests import kills
from tests.postgresql import new_postgresql_database, postgresql_server
from tests.prepared import manage
from tests.processes import descendants
from tests.servers import LiveTickover, live_tickover

SEED = 17
BROWSERS = 4
BETWEEN_S = (0.3, 2.5)  # s between two kills: now in the middle of a load, now in the middle of a start
SETTLES_S = 180.0  # s; only so that a run that fails ends
CSRF = "c" * 32
HEAD = """# Killed under load

Made by `make bench`. Four browsers book and bill while processes of a started garage are killed with signal 9 at random
moments. Half made is a visit without all that belongs to it, an invoice that does not add up, without its paper or not
in the trail, and a gap in the numbers of invoices.

| database | killed | of them | booked | invoices | requests cut off | half made |
|---|---|---|---|---|---|---|
"""

LAY_OUT = """
import json, uuid
from decimal import Decimal
from django.test import Client
from garage.models.people import Person
from garage.models.sessions import SessionStore
from garage.models.visits import Day
from tests.factories import booking, jobs
boss = Person.objects.get(role="boss")
who = dict(name="Robin Ashworth", email="robin@example.org", telephone="07700 900321", machine_kind="another",
           machine_words="Corrick 185", year=None, wants="")
laid = []
for nth in range(1, 15):
    day = booking.open_day(nth)
    Day.objects.get_or_create(day=day)
    for hour in range(8, 17):
        session = SessionStore()
        session["browser"] = str(uuid.uuid4())
        starts_at = booking.at_local(day, hour).isoformat()
        session["booking"] = dict(key=str(uuid.uuid4()), kind="bench", starts_at=starts_at, who=who)
        session.create()
        laid.append(["/book/confirm/", session.session_key, dict(kind="bench", starts_at=starts_at)])
client = Client()
client.force_login(boss)
for _ in range({bills}):
    card = jobs.closed_card(by=boss)
    jobs.part(card, price_each=Decimal("12.34"))
    path = "/visits/%d/invoice/" % card.visit.number
    laid.append([path, client.session.session_key, dict(do="issue", buyer_address="1 Mill Row")])
print("LAID " + json.dumps(laid))
"""
BILLS_A_KILL = 10  # so that there is work to the end


@dataclass
class Load:
    """What browsers send, each until it is answered; at random, so that bookings and bills lie among each other."""

    live: LiveTickover
    waiting: list[tuple[str, str, dict[str, str]]]
    cut_off: int = 0
    answered: Counter[int] = field(default_factory=Counter)
    over: threading.Event = field(default_factory=threading.Event)

    def browse(self) -> None:
        while not self.over.is_set():
            try:
                path, session, fields = self.waiting.pop()
            except IndexError:
                return
            given = fields | {"csrfmiddlewaretoken": CSRF, "key": str(uuid4())}
            while not self.over.is_set() and (status := self._sent(path, session, given)) in (None, 500, 503):
                self.cut_off += 1
                time.sleep(0.2)
            self.answered[status or 0] += 1

    def _sent(self, path: str, session: str, fields: dict[str, str]) -> int | None:
        connection = HTTPConnection(urlsplit(self.live.base_url).netloc, timeout=60)
        cookies = f"sessionid={session}; csrftoken={CSRF}"
        headers = {"Content-Type": "application/x-www-form-urlencoded", "Cookie": cookies}
        try:
            connection.request("POST", path, urlencode(fields), headers)
            answer = connection.getresponse()
            answer.read()
            return answer.status
        except (OSError, HTTPException):
            return None
        finally:
            connection.close()


def _victims(live: LiveTickover) -> Iterator[tuple[int, str]]:
    """Every process below the supervisor, with what it is."""
    for number in descendants(live.child.pid):
        with contextlib.suppress(OSError):
            command = Path(f"/proc/{number}/cmdline").read_bytes().decode(errors="replace")
            names = {"gunicorn": "web", "hearing": "hearing", "celery": "worker"}
            yield number, next((name for word, name in names.items() if word in command), "other")


@contextlib.contextmanager
def _started(data: Path, url: str) -> Iterator[LiveTickover]:
    """The database is made before, or a busy machine would take longer for it than a start may."""
    manage(data, "prepare", "--demo", "never", database_url=url)
    with live_tickover(data, database_url=url) as live:
        yield live


def walked(database: str, url: str, count: int) -> dict[str, object]:
    chance, killed = random.Random(SEED), Counter[str]()
    with TemporaryDirectory() as folder, _started(Path(folder), url) as live:
        live.shell(kills.SET_UP)
        said = live.shell(LAY_OUT.format(bills=BILLS_A_KILL * count))
        laid = next(line for line in said.splitlines() if line.startswith("LAID "))
        waiting = [(path, session, fields) for path, session, fields in json.loads(laid[5:])]
        chance.shuffle(waiting)
        load = Load(live, waiting)
        browsers = [threading.Thread(target=load.browse, daemon=True) for _ in range(BROWSERS)]
        for browser in browsers:
            browser.start()
        for _ in range(count):
            time.sleep(chance.uniform(*BETWEEN_S))
            victims = sorted(_victims(live))
            if victims:
                number, name = chance.choice(victims)
                with contextlib.suppress(ProcessLookupError):
                    os.kill(number, signal.SIGKILL)
                    killed[name] += 1
        give_up_s = time.monotonic() + SETTLES_S
        while any(browser.is_alive() for browser in browsers) and time.monotonic() < give_up_s:
            time.sleep(0.2)
        load.over.set()
        came_back = live.child.poll() is None and bool(live.get("/"))
        wrong = kills.half_made(live) | ({} if came_back else {"the garage did not come back": 1})
        if load.waiting:
            wrong |= {"requests that were never answered": len(load.waiting)}
        visits, invoices = kills.made(live)
    row = {"database": database, "killed": killed, "visits": visits, "invoices": invoices}
    return row | {"cut_off": load.cut_off, "answered": dict(load.answered), "wrong": wrong}


def _row(said: dict) -> str:
    of_them = ", ".join(f"{name} {count}" for name, count in sorted(said["killed"].items()))
    wrong = ", ".join(f"{words}: {count}" for words, count in said["wrong"].items()) or "0"
    cells = (said["killed"].total(), of_them, said["visits"], said["invoices"], said["cut_off"], wrong)
    return f"| {said['database']} | {' | '.join(map(str, cells))} |\n"


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("kills", type=int)
    asked.add_argument("report", type=Path)
    given = asked.parse_args()
    with postgresql_server() as address:
        urls = {"SQLite": "", "PostgreSQL": new_postgresql_database(address)}
        said = [walked(database, url, given.kills) for database, url in urls.items()]
    report = HEAD + "".join(map(_row, said))
    given.report.write_text(report)
    print(report, *(row["answered"] for row in said), sep="\n")  # noqa: T201
    sys.exit(1 if any(row["wrong"] for row in said) else 0)


if __name__ == "__main__":
    main()
