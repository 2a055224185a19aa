"""How the minutes of a visit's bench work spread, as a higher room has found. Inside a change only."""

from __future__ import annotations

from garage.models.visits import Visit


def put_down(visit: Visit, *, low_min: int | None, high_min: int | None) -> None:
    """By low_min one machine like it in ten is put right, by high_min nine in ten; None where nothing is known."""
    visit.bench_minutes_from, visit.bench_minutes_to = low_min, high_min
    visit.save(update_fields=["bench_minutes_from", "bench_minutes_to"])
