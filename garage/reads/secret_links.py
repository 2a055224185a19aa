"""Secret addresses of the workshop's own: a person's or a station's calendar, and the wall.

As with owners' personal links (links.py) the token is a signature over row and generation, and nothing is stored: the
address can be shown again, and a higher generation ends every one before.
"""

from __future__ import annotations

from django.core.signing import BadSignature, Signer

from garage.models.people import Person
from garage.models.shop import Shop, Station

PERSON, STATION, WALL = "person", "station", "wall"


def feed_token(whose: Person | Station) -> str:
    """The token in the address of a calendar."""
    purpose = PERSON if isinstance(whose, Person) else STATION
    return _signed(purpose, whose.pk, whose.feed_generation)


def wall_token(shop: Shop) -> str:
    """The token in the address of the wall."""
    return _signed(WALL, shop.pk, shop.wall_generation)


def whose_feed(token: str) -> Person | Station | None:
    """Whose calendar it opens. None if the address is not ours or was changed, or the person has left."""
    if signed := _read(token, PERSON):
        return Person.objects.filter(pk=signed[0], feed_generation=signed[1], is_active=True).first()
    if signed := _read(token, STATION):
        return Station.objects.filter(pk=signed[0], feed_generation=signed[1]).first()
    return None


def opens_the_wall(token: str, shop: Shop | None) -> bool:
    return shop is not None and _read(token, WALL) == (shop.pk, shop.wall_generation)


def _signed(purpose: str, row_id: int, generation: int) -> str:
    return _signer(purpose).sign(f"{row_id}-{generation}")


def _read(token: str, purpose: str) -> tuple[int, int] | None:
    try:
        row_id, generation = _signer(purpose).unsign(token).split("-")
    except BadSignature:
        return None
    return int(row_id), int(generation)


def _signer(purpose: str) -> Signer:
    return Signer(sep=".", salt=f"garage.secret-link.{purpose}")
