"""Memory of web server and worker as they are used: `python -m tests.bench.memory 10000 tests/bench/memory.md`."""

from __future__ import annotations

import re
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from http.client import HTTPConnection
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import urlsplit

from tests import kills
from tests.prepared import manage
from tests.processes import descendants
from tests.servers import LiveTickover, live_tickover

BROWSERS = 4
MARKS = (0.1, 0.5, 1)  # shares of the requests after which memory is read
MOST = 1.02  # times the mark before the last: more is growth. What comes before that mark warms up caches and threads
TASKS_DONE_S = 600.0  # s; only so that a run that fails ends
HEAD = """# Memory after many requests

Made by `make bench`. A started garage on SQLite, the front page, the free times and, logged in, the day sheet and the
search in turn by {browsers} browsers. With each request the worker is asked to send what is due. Proportional set size
of all processes of each side, in MB.

| after requests | web | worker |
|---|---|---|
"""
LOG_IN = """
from django.test import Client
from garage.models.people import Person
client = Client()
client.force_login(Person.objects.get(role="boss"))
print("SESSION", client.session.session_key)
"""
SEND = """
from celery import current_app
for _ in range({many}):
    current_app.send_task("garage.tasks.send_due")
"""
PATHS = ["/", "/book/bench/", "/day/", "/search/?q=Corrick"]


def sides_mb(live: LiveTickover) -> dict[str, float]:
    """Proportional set size: pages that several processes share are counted once in all."""
    found = {"web": 0.0, "worker": 0.0}
    for number in descendants(live.child.pid):
        folder = Path(f"/proc/{number}")
        try:
            command = (folder / "cmdline").read_bytes().decode(errors="replace")
            kb = re.search(r"^Pss:\s+(\d+)", (folder / "smaps_rollup").read_text(), re.MULTILINE)
        except OSError:  # it has ended meanwhile
            continue
        found["web" if "gunicorn" in command else "worker"] += int(kb[1]) / 1024 if kb else 0
    return found


def _ask(live: LiveTickover, session: str, path: str) -> None:
    connection = HTTPConnection(urlsplit(live.base_url).netloc, timeout=120)
    try:
        connection.request("GET", path, headers={"Cookie": f"sessionid={session}"})
        answer = connection.getresponse()
        answer.read()
    finally:
        connection.close()
    if answer.status != 200:
        raise SystemExit(f"{path} was answered with {answer.status}")


def _all_taken(live: LiveTickover) -> None:
    """Until the worker has taken all that was sent to it: the embedded broker keeps a file for each."""
    give_up_s = time.monotonic() + TASKS_DONE_S
    while any((live.data / "broker" / "tasks").glob("*.celery.msg")):
        if time.monotonic() > give_up_s:
            raise SystemExit("The worker has not taken what was sent to it")
        time.sleep(0.5)


def measured(requests: int) -> list[tuple[int, dict[str, float]]]:
    marks, done, found = [round(share * requests) for share in MARKS], 0, []
    with TemporaryDirectory() as folder:
        manage(Path(folder), "prepare", "--demo", "never")
        with live_tickover(Path(folder)) as live, ThreadPoolExecutor(BROWSERS) as browsers:
            live.shell(kills.SET_UP)
            session = live.shell(LOG_IN).split("SESSION ")[1].split()[0]
            for mark in marks:
                live.shell(SEND.format(many=mark - done))
                paths = [PATHS[nth % len(PATHS)] for nth in range(done, mark)]
                list(browsers.map(lambda path: _ask(live, session, path), paths))
                _all_taken(live)
                done = mark
                found.append((mark, sides_mb(live)))
    return found


def main() -> None:
    found = measured(int(sys.argv[1]))
    rows = "".join(f"| {mark} | {mb['web']:.1f} | {mb['worker']:.1f} |\n" for mark, mb in found)
    (_, half), (_, last) = found[-2:]
    grown = {side: last[side] / half[side] for side in half}
    said = ", ".join(f"{side} {times:.3f}" for side, times in grown.items())
    foot = f"\nAt the end, times the mark before: {said} (more than {MOST} is growth).\n"
    Path(sys.argv[2]).write_text(HEAD.format(browsers=BROWSERS) + rows + foot, encoding="utf-8")
    sys.exit(1 if max(grown.values()) > MOST else 0)


if __name__ == "__main__":
    main()
