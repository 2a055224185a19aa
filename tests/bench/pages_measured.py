"""Pages beside bare views that run the same SQL and write the same bytes. Run in a garage by tests/bench/pages.py."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import timedelta
from typing import Any

from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.test import Client, override_settings
from django.urls import path, reverse
from django.utils import timezone

from diagnostics.changes import learning
from diagnostics.models.learning import Closing
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.demo.garage import founded
from tests.bench import five_years

TIMES = 25  # each page and its bare view in turn; the quickest counts, since other programs only ever make it longer
TENTH = 10

Query = tuple[str, Any]


@dataclass(frozen=True)
class PageMeasured:
    """few: queries at a tenth of the visits. ms: of the page and of its bare view, the quickest whole answer."""

    page: str
    few: int
    queries: int
    size: int
    ms: float
    bare_ms: float


@dataclass
class _Bare:
    """What the bare view runs and writes."""

    queries: list[Query]
    content: bytes


_bare = _Bare([], b"")


def bare(request: HttpRequest) -> HttpResponse:
    """Behind the same middleware, which asks for session, person and shop itself."""
    assert request.user.is_authenticated
    with connection.cursor() as cursor:
        for sql, values in _bare.queries:
            cursor.execute(sql, values)
            if cursor.description:
                cursor.fetchall()
    return HttpResponse(_bare.content)


urlpatterns = [path("bare/", bare)]


def addresses() -> dict[str, str]:
    newest = Visit.objects.order_by("-number").select_related("owner").first()
    return {
        "free times": reverse("book-time", args=["set-up"]),
        "day sheet": reverse("day-sheet"),
        "day sheet of a past day": reverse("day-sheet-on", args=[newest.starts_at.date().isoformat()]),
        "search": f"{reverse('search')}?q={newest.owner.name.split()[1]}",
        "machine history": reverse("machine", args=[newest.machine_id]),
        "findings": reverse("findings", args=[newest.number]),
        "What we learned": reverse("learned"),
    }


@contextmanager
def _noted() -> Iterator[list[Query]]:
    found: list[Query] = []

    def note(execute: Callable[..., Any], sql: str, values: Any, many: bool, context: Any) -> Any:
        found.append((sql, values))
        return execute(sql, values, many, context)

    with connection.execute_wrapper(note):
        yield found


def _asked(client: Client, address: str) -> tuple[list[Query], bytes]:
    client.get(address)
    with _noted() as queries:
        answer = client.get(address)
    assert answer.status_code == 200, (address, answer.status_code)
    return queries, answer.content


def _took_ms(client: Client, address: str) -> float:
    began = time.perf_counter()
    client.get(address)
    return 1000 * (time.perf_counter() - began)


def _measured(client: Client, name: str, address: str, few: int) -> PageMeasured:
    queries, content = _asked(client, address)
    with override_settings(ROOT_URLCONF=__name__):
        _bare.queries, _bare.content = [], content
        around = [sql for sql, _ in _asked(client, "/bare/")[0]]
    _bare.queries = [one for one in _less(queries, around) if one[0].lstrip().startswith("SELECT")]
    own, floor = [], []
    for _ in range(TIMES):
        own.append(_took_ms(client, address))
        with override_settings(ROOT_URLCONF=__name__):
            floor.append(_took_ms(client, "/bare/"))
    return PageMeasured(name, few, len(queries), len(content), min(own), min(floor))


def _less(queries: list[Query], around: list[str]) -> list[Query]:
    """Without those that the middleware asks around every page."""
    left = list(around)
    return [one for one in queries if not (one[0] in left and (left.remove(one[0]) or True))]


def _logged_in() -> Client:
    client = Client(headers={"host": "127.0.0.1"})
    client.force_login(Person.objects.get(role=Person.BOSS))
    return client


def _closing_ms() -> float:
    """What closing a card takes for learning: marked as a come-back and taken back, each moves the sums once."""
    visit, by, took = Closing.objects.order_by("-at").first().visit, Person.objects.get(role=Person.BOSS), []
    for _ in range(TIMES):
        for deed in (learning.came_back, learning.did_not_come_back):
            began = time.perf_counter()
            deed(visit, by=by, now=timezone.now())
            took.append(1000 * (time.perf_counter() - began))
    return min(took)


def main(many: int) -> None:
    now = timezone.now()
    garage = founded(now=now - timedelta(days=five_years.DAYS + 30))
    five_years.fill(garage, many // TENTH, now=now)
    client = _logged_in()
    few = {name: len(_asked(client, address)[0]) for name, address in addresses().items()}
    began = time.perf_counter()
    five_years.fill(garage, many - many // TENTH, now=now)
    filled_s = time.perf_counter() - began
    if connection.vendor == "postgresql":  # as its autovacuum does by itself; of SQLite's rows nobody takes statistics
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
    pages = [asdict(_measured(client, name, address, few[name])) for name, address in addresses().items()]
    print(json.dumps({"pages": pages, "closing_ms": _closing_ms(), "filled_s": filled_s}))  # noqa: T201
