"""The times given back within a year, and what stands at their places now."""

from __future__ import annotations

from collections import Counter
from datetime import datetime, timedelta
from decimal import Decimal

from garage.core.selling.freed_minutes import FreedMinutes, PieceFreed, Spot, what_became
from garage.core.time.clock import pieces
from garage.core.time.day_minutes import PIECE_MIN
from garage.models.standby import FreedTime
from garage.models.visits import SoldPiece, Step
from garage.reads.selling import pieces_of

YEAR = timedelta(days=365)


def freed_minutes(*, now: datetime) -> FreedMinutes:
    """Of the times that were given back in the year before now. Three queries, however many there are."""
    given_back = FreedTime.objects.filter(freed_at__gt=now - YEAR).exclude(
        why=FreedTime.EARLY
    )  # a session that was had
    freed = [piece for row in given_back for piece in _pieces(row)]
    begins = {piece.spot[2] for piece in freed}
    sold = _sold(begins) if begins else {}
    return what_became(freed, sold, _worked(begins, sold) if begins else {}, now)


def _pieces(row: FreedTime) -> list[PieceFreed]:
    pence = float(row.price * 100 * PIECE_MIN / max(Decimal(row.minutes), Decimal(PIECE_MIN)))
    spots = ((row.at, row.place, begins_at) for begins_at in pieces_of(row.starts_at, row.minutes))
    return [PieceFreed(spot, row.freed_at, pence) for spot in spots]


def _sold(begins: set[datetime]) -> dict[Spot, datetime | None]:
    rows = SoldPiece.objects.filter(begins_at__in=begins, visit__isnull=False)
    found = rows.values_list("at", "place", "begins_at", "visit__arrived_at")
    return {(at, place, begins_at): came for at, place, begins_at, came in found}


def _worked(begins: set[datetime], sold: dict[Spot, datetime | None]) -> Counter[tuple[str, datetime]]:
    """Machines that stood at a place beyond those that it was sold to."""
    rows = Step.objects.filter(began_at__lt=max(begins) + timedelta(minutes=PIECE_MIN), ended_at__gt=min(begins))
    stood: Counter[tuple[str, datetime]] = Counter()
    for at, began_at, ended_at in rows.values_list("at", "began_at", "ended_at"):
        if began_at and ended_at and ended_at > began_at:
            stood.update((at, begins_at) for begins_at in pieces(began_at, ended_at) if begins_at in begins)
    stood.subtract((at, begins_at) for at, _, begins_at in sold)
    return +stood
