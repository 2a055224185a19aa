"""Packers taken from stock go on the card: as a part if the shop has a price for them, else as work done."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from garage.changes.shop.packer_stock import PackersMoved
from garage.core.text.packer_words import mm_words
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.changes import cards
from jobs.models.cards import CardLine


def write(visit: Visit, *, packers: Sequence[PackersMoved], by: Person, now: datetime) -> None:
    for taken in packers:
        words = _words(taken)
        if taken.price_each is None:
            cards.note(visit, what=CardLine.WORK, words=f"{taken.count} × {words}", by=by, now=now)
        else:
            cards.part(visit, words=words, quantity=Decimal(taken.count), price_each=taken.price_each, by=by, now=now)


def strike(visit: Visit, *, packers: Sequence[PackersMoved], by: Person, now: datetime) -> None:
    """Strikes out the newest line for each packer that is not struck out yet."""
    for taken in packers:
        said = (_words(taken), f"{taken.count} × {_words(taken)}")
        line = CardLine.objects.filter(card__visit=visit, words__in=said, struck_at=None).order_by("at", "pk").last()
        if line is not None:
            cards.strike(line, by=by, now=now)


def _words(taken: PackersMoved) -> str:
    return f"Packer {mm_words(taken.thickness_mm)}, under the stator plate"
