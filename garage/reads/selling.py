"""How many places of a kind are taken in each five minutes, held or sold. A place is a count, not a certain station."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import datetime, timedelta

from django.db.models import Q

from garage.core.time import clock
from garage.models.visits import Hold, SoldPiece, Visit

TakenPlaces = Mapping[datetime, frozenset[int]]  # start of a piece, UTC → the places taken in it


def pieces_of(starts_at: datetime, minutes: int) -> tuple[datetime, ...]:
    """The pieces that a time of this length takes, rounded up."""
    return clock.pieces(starts_at, starts_at + timedelta(minutes=minutes))


def taken_places(
    at: str, since: datetime, until: datetime, now: datetime, *, besides: Visit | None = None, not_held_by: str = ""
) -> TakenPlaces:
    """Places held or sold from since up to until. Lapsed holds and the visit `besides` do not count."""
    rows = SoldPiece.objects.filter(at=at, begins_at__gte=since, begins_at__lt=until)
    rows = rows.filter(Q(hold=None) | Q(hold__expires_at__gt=now))
    if not_held_by:
        rows = rows.exclude(hold__browser=not_held_by)
    if besides is not None:
        rows = rows.exclude(visit=besides)
    out: dict[datetime, set[int]] = defaultdict(set)
    for begins_at, place in rows.values_list("begins_at", "place"):
        out[begins_at].add(place)
    return {begins_at: frozenset(places) for begins_at, places in out.items()}


def lowest_free(taken: TakenPlaces, pieces: tuple[datetime, ...], places: int) -> list[int] | None:
    """For each piece the lowest free place. None as soon as one piece has none.

    Each piece is placed independently, so that times that never overlap more than the stations allow always fit.
    """
    out = []
    for begins_at in pieces:
        used = taken.get(begins_at, frozenset())
        place = next((n for n in range(1, places + 1) if n not in used), None)
        if place is None:
            return None
        out.append(place)
    return out


def held_until(browser: str, starts_at: datetime, *, now: datetime) -> datetime | None:
    """The end of this browser's hold on this time. None if it has none or it has lapsed."""
    hold = Hold.objects.filter(browser=browser, starts_at=starts_at, expires_at__gt=now).first()
    return hold.expires_at if hold else None
