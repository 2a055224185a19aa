"""The bench work of a visit that is not over: what findings of the bench make longer or shorter."""

from __future__ import annotations

from garage.models.shop import BENCH
from garage.models.visits import Step, Visit


def open_bench_step(visit: Visit) -> Step | None:
    """The running one, else the next that waits; never the gate. None if there is none."""
    waiting = Step.objects.filter(visit=visit, at=BENCH, is_check=False, ended_at=None).order_by("index")
    return waiting.filter(began_at__isnull=False).first() or waiting.first()
