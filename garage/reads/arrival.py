"""When an owner is asked to arrive."""

from __future__ import annotations

from datetime import datetime

from garage.core.planning import day_rules
from garage.models.visits import Visit


def arrive_at(visit: Visit) -> datetime | None:
    """None while no time is agreed."""
    return None if visit.starts_at is None else day_rules.arrive_at(visit.at, visit.starts_at)


def agreed_at(visit: Visit) -> datetime:
    """When it starts, asked where a time is known to be agreed. Raises ValueError where none is."""
    if visit.starts_at is None:
        raise ValueError(f"visit {visit.number} has no time")
    return visit.starts_at
