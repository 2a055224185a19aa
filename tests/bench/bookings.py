"""Bookings a second under sixteen clients, beside bare inserts of the same rows: `python -m tests.bench.bookings FILE`.

Each client presses "Book it" on a time that nobody holds any more, one after the other. First for as many places as
there are, on days at random; then, untimed, all for the same hours, twice as many as there are places.
"""

from __future__ import annotations

import json
import os
import pickle
import random
import sqlite3
import sys
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass
from http.client import HTTPConnection
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import urlencode, urlsplit

import psycopg

from garage.running import machine
from tests.kills import OF_ANY_GARAGE
from tests.postgresql import new_postgresql_database, postgresql_server
from tests.servers import Garage, LiveTickover, live_tickover, resting_garage

CLIENTS, DAYS, RACED_DAYS, HOURS, PLACES = 16, 10, 4, range(8, 17), 3
WON, TAKEN, BUSY = 302, 409, 503
HOW = ("timed", "raced")
CSRF = "c" * 32
HEAD = """# Bookings a second

Made by `make bench`. {clients} clients press "Book it", each the next as soon as the last is answered, on a started web
server of two processes, on {days} days at random. *Bare* inserts the very rows of those bookings into a copy of the
database as it was before, with its indexes, constraints and triggers: one transaction a booking, by {clients}
processes, without models, pages, rules or free times. Both in one run, without a flush to the disk on PostgreSQL; the
clients take their share of the two cores too. *CPU* is that of the Python processes, whatever else the machine does.

| database | a second | bare | times | CPU ms a booking | bare | rows a booking |
|---|---|---|---|---|---|---|
{rates}
{cores} cores had a load of {load:.0f}.

Then all press for the same hours of {raced} further days, two for each place. Of both together:

| database | pressed | booked | told it has gone | told to press again | else | minutes sold twice |
|---|---|---|---|---|---|---|
{answers}"""
SET_UP = """
from garage.models.shop import Station
from tests.factories import garage
garage.shop(holds_per_address_and_hour=30000)
for nth in range({places}):
    garage.person(first_name=f"Jo {{nth}}")
    if nth:
        Station.objects.get_or_create(kind="bench", number=nth + 1, defaults={{"name": f"Bench {{nth + 1}}"}})
garage.visit_kind(slug="bench", booked_as="bench", name="Bench check", at="bench", minutes=60)
"""
LAY_OUT = """
import uuid
from garage.models.sessions import SessionStore
from tests.factories import booking
each = {places}
who = dict(name="Robin Ashworth", email="robin@example.org", telephone="07700 900321", machine_kind="another",
           machine_words="Corrick 185", year=None, wants="")
for nth in range({days} + {raced}):
    each *= 2 if nth == {days} else 1
    day = booking.open_day(nth + 1)
    for hour in {hours!r}:
        for _ in range(each):
            session = SessionStore()
            session["browser"] = str(uuid.uuid4())
            starts_at = booking.at_local(day, hour).isoformat()
            session["booking"] = dict(key=str(uuid.uuid4()), kind="bench", starts_at=starts_at, who=who)
            session.create()
            print("LAID", "raced" if nth >= {days} else "timed", session.session_key)
"""
# What is new since the copy was made, by booking. A table whose rows cannot be told to one is named and left out.
ROWS = """
import pickle
from django.db import connection
newest, by_visit, left_out = {newest!r}, {{}}, []
visit_of = {{"garage_visit": "id", "garage_owner": "(select min(v.id) from garage_visit v join garage_machine m "
             "on m.id = v.machine_id where m.owner_id = t.id)",
             "garage_machine": "(select min(v.id) from garage_visit v where v.machine_id = t.id)",
             "garage_enclosure": "(select m.visit_id from garage_message m where m.id = t.message_id)"}}
with connection.cursor() as cursor:
    for table, last in newest.items():
        cursor.execute(f"select * from {{table}} where false")
        columns = [column[0] for column in cursor.description]
        visit = visit_of.get(table, "t.visit_id" if "visit_id" in columns else "")
        if not visit:
            cursor.execute(f"select count(*) from {{table}} where id > {{last}}")
            left_out += [table] if cursor.fetchone()[0] else []
            continue
        cursor.execute(f"select {{visit}}, t.* from {{table}} t where t.id > {{last}}")
        marks = ", ".join(["%s"] * len(columns))
        names = ", ".join(f'"{{column}}"' for column in columns)
        insert = f"insert into {{table}} ({{names}}) values ({{marks}})"
        for number, *row in cursor.fetchall():
            row = [bytes(value) if isinstance(value, memoryview) else value for value in row]
            by_visit.setdefault(number, {{}}).setdefault(insert, []).append(row)
by_visit.pop(None, None)
with open({file!r}, "wb") as file:
    pickle.dump(list(by_visit.values()), file)
print("LEFT OUT", *left_out)
"""
BARE = """
import json, pickle, time
from django.db import connection, transaction
with open({file!r}, "rb") as file:
    bookings = pickle.load(file)[{nth}::{clients}]
connection.ensure_connection()
together()
began, cpu_s = time.time(), time.process_time()
for inserts in bookings:
    with transaction.atomic(), connection.cursor() as cursor:
        for insert, rows in inserts.items():
            cursor.executemany(insert, rows)
print(json.dumps([began, time.time(), time.process_time() - cpu_s]))
"""
NEWEST = """
import json
from django.db import connection
found = {}
with connection.cursor() as cursor:
    for table in connection.introspection.table_names():
        columns = {each.name for each in connection.introspection.get_table_description(cursor, table)}
        if table.startswith(("garage_", "diagnostics_", "hearing_", "jobs_")) and "id" in columns:
            cursor.execute(f"select coalesce(max(id), 0) from {table}")
            last = cursor.fetchone()[0]
            found |= {table: last} if isinstance(last, int) else {}
print("NEWEST", json.dumps(found))
"""


@dataclass(frozen=True)
class Rate:
    """cpu_ms: of the Python processes, for each booking."""

    a_second: float
    cpu_ms: float


@dataclass(frozen=True)
class Measured:
    answers: Counter[int]
    booked: int
    sold_twice: int
    rows: float
    ours: Rate
    bare: Rate


def _press(live: LiveTickover, session: str) -> int:
    connection = HTTPConnection(urlsplit(live.base_url).netloc, timeout=120)
    headers = {
        "Cookie": f"sessionid={session}; csrftoken={CSRF}",
        "Content-Type": "application/x-www-form-urlencoded",
        "Origin": live.base_url,
    }
    try:
        connection.request("POST", "/book/confirm/", urlencode({"csrfmiddlewaretoken": CSRF}), headers)
        answer = connection.getresponse()
        answer.read()
        return answer.status
    finally:
        connection.close()


def _cpu_s(live: LiveTickover) -> float:
    """User and system time of the web server's processes: proc(5), the 14th and 15th."""
    stats = [Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split() for number in live.processes()]
    return sum(int(stat[11]) + int(stat[12]) for stat in stats) / os.sysconf("SC_CLK_TCK")


def _pressed(data: Path, database_url: str, timed: list[str], raced: list[str]) -> tuple[Counter[int], Rate]:
    random.Random(16).shuffle(timed)
    with live_tickover(data, database_url=database_url, part="web") as live, ThreadPoolExecutor(CLIENTS) as clients:
        for _ in range(CLIENTS):
            _press(live, "nobody")  # the first request of a process loads what the others find loaded
        began_s, began_cpu_s = time.monotonic(), _cpu_s(live)
        answers = Counter(clients.map(lambda session: _press(live, session), timed))
        took_s, cpu_s = time.monotonic() - began_s, _cpu_s(live) - began_cpu_s
        rate = Rate(answers[WON] / took_s, 1000 * cpu_s / answers[WON])
        return answers + Counter(clients.map(lambda session: _press(live, session), raced)), rate


def _bare(garage: Garage, file: Path) -> Rate:
    """From the moment at which all begin to the end of the last."""
    codes = [BARE.format(file=str(file), nth=nth, clients=CLIENTS) for nth in range(CLIENTS)]
    times = [json.loads(said.split("\n")[-2]) for said in garage.at_once(codes)]
    many = len(pickle.loads(file.read_bytes()))  # noqa: S301  # written a moment ago by ourselves
    took_s = max(end for _, end, _ in times) - min(begin for begin, _, _ in times)
    return Rate(many / took_s, 1000 * sum(cpu_s for _, _, cpu_s in times) / many)


def measured(folder: Path, database_url: str, copied: Callable[[], tuple[Path, str]]) -> Measured:
    """copied: makes a copy of the resting database; its folder and address."""
    data, file = folder / "real", folder / "rows"
    data.mkdir()
    machine.make_secret_key(data, demo="never")  # of the sessions: as a start makes it
    with resting_garage(data, database_url) as garage:
        garage.manage("prepare", "--demo", "never")
        garage.shell(SET_UP.format(places=PLACES))
        said = garage.shell(LAY_OUT.format(days=DAYS, raced=RACED_DAYS, hours=list(HOURS), places=PLACES))
        newest = json.loads(garage.shell(NEWEST).split("NEWEST ")[1])
    timed, raced = ([key for _, how, key in map(str.split, said.splitlines()) if how == name] for name in HOW)
    copy, copy_url = copied()
    answers, ours = _pressed(data, database_url, timed, raced)
    with resting_garage(data, database_url) as garage:
        left_out = garage.shell(ROWS.format(newest=newest, file=str(file)))
        sold_twice = int(garage.rows(OF_ANY_GARAGE["minutes sold twice"])[0][0])
        booked = int(garage.rows("select count(*) from garage_visit")[0][0])
    print(left_out.strip(), dict(answers), flush=True)  # noqa: T201
    rows = [sum(map(len, inserts.values())) for inserts in pickle.loads(file.read_bytes())]  # noqa: S301
    with resting_garage(copy, copy_url) as garage:
        bare = _bare(garage, file)
    return Measured(answers, booked, sold_twice, sum(rows) / len(rows), ours, bare)


def _copied_file(folder: Path) -> tuple[Path, str]:
    (folder / "bare").mkdir()
    name = "tickover.sqlite3"
    with (
        closing(sqlite3.connect(folder / "real" / name)) as real,
        closing(sqlite3.connect(folder / "bare" / name)) as to,
    ):
        real.backup(to)
    return folder / "bare", ""


def _copied_database(folder: Path, address: str, database_url: str) -> tuple[Path, str]:
    (folder / "bare").mkdir()
    name = urlsplit(database_url).path.strip("/")
    with psycopg.connect(f"{address}/postgres", autocommit=True) as connection:
        connection.execute(f'create database bare template "{name}"')
    return folder / "bare", f"{address}/bare"


def rates_of(database: str, found: Measured) -> str:
    ours, bare = found.ours, found.bare
    a_second = f"{ours.a_second:.1f} | {bare.a_second:.0f} | {bare.a_second / ours.a_second:.0f}"
    return f"| {database} | {a_second} | {ours.cpu_ms:.0f} | {bare.cpu_ms:.1f} | {found.rows:.0f} |\n"


def answers_of(database: str, found: Measured) -> str:
    known = [found.answers[status] for status in (TAKEN, BUSY)]
    other = found.answers.total() - found.answers[WON] - sum(known)
    said = (database, found.answers.total(), found.booked, *known, other, found.sold_twice)
    return f"| {' | '.join(map(str, said))} |\n"


def is_right(found: Measured) -> bool:
    return not found.sold_twice and found.answers.keys() <= {WON, TAKEN, BUSY} and found.booked == found.answers[WON]


def main() -> None:
    report, found = Path(sys.argv[1]), {}
    with TemporaryDirectory() as name:
        folder = Path(name)
        found["SQLite"] = measured(folder, "", lambda: _copied_file(folder))
    with TemporaryDirectory() as name, postgresql_server() as address:
        folder, url = Path(name), new_postgresql_database(address)
        found["PostgreSQL"] = measured(folder, url, lambda: _copied_database(folder, address, url))
    rates, answers = ("".join(row(*each) for each in found.items()) for row in (rates_of, answers_of))
    head = HEAD.format(
        clients=CLIENTS,
        days=DAYS,
        raced=RACED_DAYS,
        rates=rates,
        answers=answers,
        cores=os.cpu_count(),
        load=os.getloadavg()[1],
    )
    report.write_text(head, encoding="utf-8")
    sys.exit(0 if all(map(is_right, found.values())) else 1)


if __name__ == "__main__":
    main()
