"""When an owner is asked to be there."""

from __future__ import annotations

from datetime import datetime, timedelta

from garage.core.selling.free_times import ARRIVE_BEFORE_MIN
from garage.models.shop import ROLLER
from garage.models.visits import Visit


def arrive_at(visit: Visit) -> datetime | None:
    """Half an hour before the rollers, for the gate; at the bench at the time; None without a time."""
    if visit.starts_at is None:
        return None
    return visit.starts_at - timedelta(minutes=ARRIVE_BEFORE_MIN if visit.at == ROLLER else 0)
