"""Labour by the clock: spells of work, and the minutes worked.

Two people on one machine are two lots of labour. Nobody is counted twice: one person's spells that overlap or touch
are merged. Rounding happens once, on the card's total, not spell by spell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from garage.core.errors import BadInput


@dataclass(frozen=True)
class Spell:
    """One person's labour from start to stop, as aware datetimes. ended_at: None while the clock is running."""

    by: str
    began_at: datetime
    ended_at: datetime | None

    def __post_init__(self) -> None:
        if self.began_at.tzinfo is None or (self.ended_at is not None and self.ended_at.tzinfo is None):
            raise BadInput("labour", self.began_at, "times with a time zone")
        if self.ended_at is not None and self.ended_at < self.began_at:
            raise BadInput(
                "labour's stop", f"{self.ended_at:%H:%M}", f"a time not before its start, {self.began_at:%H:%M}"
            )


def worked_minutes(spells: Sequence[Spell], now: datetime) -> int:
    """Person-minutes worked, the sum rounded down to whole minutes. A running spell counts up to `now`.

    >>> nine = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
    >>> worked_minutes([Spell("jo", nine, nine + timedelta(minutes=50)), Spell("al", nine, None)], nine)
    50
    """
    worked = sum((_worked_by(by, spells, now) for by in {spell.by for spell in spells}), timedelta(0))
    return worked // timedelta(minutes=1)


def _worked_by(by: str, spells: Sequence[Spell], now: datetime) -> timedelta:
    worked, counted_to = timedelta(0), datetime.min.replace(tzinfo=UTC)
    for spell in sorted((spell for spell in spells if spell.by == by), key=lambda spell: spell.began_at):
        begin, end = max(spell.began_at.astimezone(UTC), counted_to), _end(spell, now)
        worked += max(end - begin, timedelta(0))
        counted_to = max(counted_to, end)
    return worked


def _end(spell: Spell, now: datetime) -> datetime:
    """When it ended, or `now` if still running. A clock started in the future has not run yet."""
    return max(spell.ended_at or now, spell.began_at).astimezone(UTC)
