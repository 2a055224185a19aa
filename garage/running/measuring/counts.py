"""What is counted while a garage runs, in the form that Prometheus reads: requests, tasks, and time in the database.

No label holds more than names of ours: of a route, a task, a kind of statement. What rows say is read when somebody
asks (jobs/pages/watched.py).
"""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

from celery.signals import task_postrun, task_prerun, worker_init
from django.conf import settings
from django.db import connections
from django.db.backends.signals import connection_created
from prometheus_client import CollectorRegistry, Counter, Histogram, Summary, generate_latest, values
from prometheus_client.multiprocess import MultiProcessCollector
from prometheus_client.registry import Collector

from garage.running.measuring.count_files import FOLDER, process_name

NO_ROUTE, OTHER = "none", "other"
METHODS = frozenset({"GET", "HEAD", "POST", "OPTIONS", "PUT", "PATCH", "DELETE"})
STATEMENTS = frozenset({"select", "insert", "update", "delete"})
REQUEST_S = (0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10)  # s, upper ends; pages take 0.02 to 0.2. By eye
TASK_S = (0.01, 0.1, 1, 10, 60, 180, 900)  # s, up to the longest time that a usual task may take (settings.py)

Execute = Callable[[str, Any, bool, dict[str, Any]], Any]


class ProcessCounts:
    """In its files in this folder; `told` adds up those of all processes. The library itself is told of the folder
    by the settings.
    """

    def __init__(self, folder: Path) -> None:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        self.folder = folder
        values.ValueClass = values.MultiProcessValue(process_name)  # type: ignore[no-untyped-call]
        kept = CollectorRegistry()
        self._requests = Counter(
            "tickover_requests", "Requests answered.", ("route", "method", "status"), registry=kept
        )
        self._request_s = Histogram(
            "tickover_request_seconds",
            "How long they took.",
            ("route", "method"),
            buckets=REQUEST_S,
            registry=kept,
        )
        self._tasks = Counter("tickover_tasks", "Tasks that ended.", ("task", "outcome"), registry=kept)
        self._task_s = Histogram(
            "tickover_task_seconds", "How long they took.", ("task",), buckets=TASK_S, registry=kept
        )
        self._database_s = Summary("tickover_database_seconds", "Time in the database.", ("statement",), registry=kept)

    def answered(self, route: str | None, method: str | None, status: int, took_s: float) -> None:
        said, how = route or NO_ROUTE, method if method in METHODS else OTHER
        self._requests.labels(said, how, status).inc()
        self._request_s.labels(said, how).observe(took_s)

    def ended(self, task: str, outcome: str, took_s: float) -> None:
        self._tasks.labels(task, outcome).inc()
        self._task_s.labels(task).observe(took_s)

    def asked(self, sql: str, took_s: float) -> None:
        word = sql.lstrip(" (")[:6].lower()
        self._database_s.labels(word if word in STATEMENTS else OTHER).observe(took_s)

    def told(self, *besides: Collector) -> bytes:
        """The numbers of all processes, and those of other collectors."""
        registry = CollectorRegistry()
        MultiProcessCollector(registry, path=str(self.folder))  # type: ignore[no-untyped-call]
        for one in besides:
            registry.register(one)
        return generate_latest(registry)


def count(what: Callable[[ProcessCounts], None]) -> None:
    """A disk that takes nothing more stops no page and no task."""
    with suppress(OSError):
        what(counts())


@cache
def counts() -> ProcessCounts:
    """Of this process."""
    return ProcessCounts(settings.DATA / FOLDER)


def measure_the_database() -> None:
    """From now on, in whatever connection is made."""
    connection_created.connect(_measure, dispatch_uid="metrics")
    for one in connections.all(initialized_only=True):
        _measure(connection=one)


def measure_the_tasks() -> None:
    worker_init.connect(_worker_begins, dispatch_uid="metrics")
    task_prerun.connect(_task_begins, dispatch_uid="metrics")
    task_postrun.connect(_task_ended, dispatch_uid="metrics")


def _measure(connection: Any, **_: object) -> None:
    """Once, however often it is made again."""
    if _timed not in connection.execute_wrappers:
        connection.execute_wrappers.append(_timed)


def _timed(execute: Execute, sql: str, given: Any, many: bool, context: dict[str, Any]) -> Any:
    began_s = time.perf_counter()
    try:
        return execute(sql, given, many, context)
    finally:
        took_s = time.perf_counter() - began_s
        count(lambda kept: kept.asked(sql, took_s))


def _worker_begins(**_: object) -> None:
    measure_the_database()


def _task_begins(task: Any, **_: object) -> None:
    task.request.began_s = time.perf_counter()


def _task_ended(task: Any, state: str | None = None, **_: object) -> None:
    began_s = getattr(task.request, "began_s", None)
    if began_s is not None:
        took_s = time.perf_counter() - began_s
        count(lambda kept: kept.ended(task.name, (state or OTHER).lower(), took_s))
