"""What the rows of a garage say to whoever watches over it: how much waits, and how much is sold."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from django.db import DatabaseError
from prometheus_client.core import GaugeMetricFamily
from prometheus_client.registry import Collector

from diagnostics.hearing.reads.heard import clips_waiting
from garage.reads.counted import Waiting, mails_failed, mails_waiting, minutes_sold_ahead


class RowNumbers(Collector):
    """Read from the database at this moment; while that is away, no more than that is said."""

    def __init__(self, *, now: datetime) -> None:
        self.now = now

    def collect(self) -> Iterator[GaugeMetricFamily]:
        try:
            rows = list(self._of_rows())
        except DatabaseError:
            rows = []
        yield GaugeMetricFamily("tickover_database_answers", "Whether the database answers.", value=bool(rows))
        yield from rows

    def _of_rows(self) -> Iterator[GaugeMetricFamily]:
        waiting = {"mails": mails_waiting(now=self.now), "clips": Waiting(*clips_waiting())}
        count = GaugeMetricFamily("tickover_waiting", "How many wait for a worker.", labels=["what"])
        oldest_s = GaugeMetricFamily("tickover_waiting_seconds", "How long the oldest of them has.", labels=["what"])
        for what, one in waiting.items():
            count.add_metric([what], one.waits)
            oldest_s.add_metric([what], (self.now - one.since).total_seconds() if one.since else 0)
        sold = GaugeMetricFamily("tickover_sold_ahead_minutes", "Minutes sold from now on.", labels=["at"])
        for at, minutes in minutes_sold_ahead(now=self.now).items():
            sold.add_metric([at], minutes)
        failed = GaugeMetricFamily("tickover_mails_failed", "Mails that did not arrive, of which nobody was told.")
        failed.add_metric([], mails_failed())
        yield from (count, oldest_s, failed, sold)
