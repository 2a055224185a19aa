"""Invoices issued at once by several workers on PostgreSQL.

`python -m tests.bench.numbers 10000 tests/bench/numbers.md`. Each worker is a process of its own and issues as the page
does. Every tenth fails on purpose after it has its number.
"""

from __future__ import annotations

import json
import os
import sys
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.postgresql import new_postgresql_database, postgresql_server
from tests.servers import Garage, resting_garage

WORKERS = 8
FAILS = 10  # one in so many
HEAD = """# Numbers without gaps

Made by `make bench`. {count} invoices issued by {workers} workers at once on PostgreSQL, one in {fails} failing on
purpose once it has its number and its lines. *Issued* is all that the page's button does: card and shop read, lines and
VAT, number, frozen rows, link of the chain, paper wanted, trail, and the worker woken after it. *Bare* takes a number
from one row in the same way and inserts one row of five columns, without Django's models; as many of them fail.

| | a second | gaps | doubles |
|---|---|---|---|
"""

SET_UP = """
from datetime import timedelta
from django.utils import timezone
from garage.models.visits import Visit
from jobs.models.cards import Card, CardLine
from tests.factories import garage, jobs
from django.db import connection
by, now = garage.boss(), timezone.now()
first = jobs.visit_here()
garage.shop(vat_number="GB980780684")
values = {{field.attname: getattr(first, field.attname) for field in Visit._meta.concrete_fields}}
for name in ("id", "calendar_uid"):
    values.pop(name)
visits = Visit.objects.bulk_create(
    (Visit(**values | {{"number": first.number + nth}}) for nth in range(1, {count} + 1)), batch_size=1000
)
closed = dict(opened_at=now - timedelta(hours=3), opened_by=by, closed_at=now, closed_by=by, nothing_wrong=True)
cards = Card.objects.bulk_create((Card(visit=visit, **closed) for visit in visits), batch_size=1000)
part = dict(what=CardLine.PART, words="Main jet 98", quantity=1, price_each="4.50", at=now, by=by)
CardLine.objects.bulk_create((CardLine(card=card, **part) for card in cards for _ in range(2)), batch_size=1000)
with connection.cursor() as cursor:
    cursor.execute("CREATE TABLE bare (number int UNIQUE, words text, gross numeric, at timestamptz, who int)")
    cursor.execute("CREATE TABLE bare_last (last int)")
    cursor.execute("INSERT INTO bare_last VALUES (0)")
    cursor.execute("ANALYZE")
print(first.number + 1)
"""

ISSUE = """
import json, time
from django.utils import timezone
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.changes import invoices
class LightOut(Exception): pass
def dark(*_, **__): raise LightOut
by, visits = Person.objects.get(role="boss"), list(Visit.objects.filter(number__in={numbers!r}))
link = invoices.chain.link
together()
began = time.time()
for nth, visit in enumerate(visits):
    invoices.chain.link = dark if nth % {fails} == {fails} - 1 else link
    try:
        invoices.issue(visit, by=by, now=timezone.now())
    except LightOut:
        pass
    if nth % 50 == 0:
        print(flush=True)
print(json.dumps([began, time.time()]))
"""

BARE = """
import json, time
from django.db import connection, transaction
from django.utils import timezone
class LightOut(Exception): pass
connection.ensure_connection()
together()
began = time.time()
for nth in range({count}):
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("UPDATE bare_last SET last = last + 1 RETURNING last")
            values = [cursor.fetchone()[0], "Main jet 98", "9.00", timezone.now(), 1]
            cursor.execute("INSERT INTO bare VALUES (%s, %s, %s, %s, %s)", values)
            if nth % {fails} == {fails} - 1:
                raise LightOut
    except LightOut:
        pass
print(json.dumps([began, time.time()]))
"""
CHECK = """
import time
from django.utils import timezone
from jobs.changes.chain import look_through
began = time.process_time()
found = look_through(series="invoice", now=timezone.now())
print(found.fault_count, time.process_time() - began)
"""


@dataclass(frozen=True)
class Issued:
    a_second: float
    gaps: int
    doubles: int


def _issued(garage: Garage, codes: list[str], table: str) -> Issued:
    """From the moment at which all begin to the end of the last."""
    times = [json.loads(said.split("\n")[-2]) for said in garage.at_once(codes)]
    took_s = max(end for _, end in times) - min(begin for begin, _ in times)
    numbers = [number for (number,) in garage.rows(f"select number from {table}")]  # noqa: S608
    return Issued(len(numbers) / took_s, max(numbers) - len(set(numbers)), len(numbers) - len(set(numbers)))


def note(count: int) -> str:
    with (
        TemporaryDirectory() as folder,
        postgresql_server() as address,
        resting_garage(Path(folder), new_postgresql_database(address)) as garage,
    ):
        garage.manage("migrate", "--verbosity", "0")
        for name in ("tasks", "control"):  # as a start makes them: without, no worker could be woken
            (Path(folder) / "broker" / name).mkdir(parents=True)
        first = int(garage.shell(SET_UP.format(count=count)).split()[-1])
        slices = [list(range(first + nth, first + count, WORKERS)) for nth in range(WORKERS)]
        bare = _issued(garage, [BARE.format(count=len(part), fails=FAILS) for part in slices], "bare")
        real = _issued(garage, [ISSUE.format(numbers=part, fails=FAILS) for part in slices], "jobs_invoice")
        faults, check_s = garage.shell(CHECK).split()
    rows = "".join(
        f"| {name} | {found.a_second:.0f} | {found.gaps} | {found.doubles} |\n"
        for name, found in (("issued", real), ("bare", bare))
    )
    ratio, load = bare.a_second / real.a_second, os.getloadavg()[1]
    return f"""{HEAD.format(count=count, workers=WORKERS, fails=FAILS)}{rows}
A bare row comes {ratio:.1f} times as often. The whole chain was looked through in {float(check_s):.1f} s of CPU and had
{faults} faults. {os.cpu_count()} cores had a load of {load:.0f}: each of the ten questions that are asked behind the
number's lock waits for its turn, so with other work on the machine the issued fall more than the bare.
"""


if __name__ == "__main__":
    Path(sys.argv[2]).write_text(note(int(sys.argv[1])), encoding="utf-8")
