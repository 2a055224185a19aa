"""What stands on a card."""

from __future__ import annotations

from decimal import Decimal

from jobs.core.billing.invoice import NOTHING
from jobs.models.cards import Card, CardLine


def parts_come_to(card: Card) -> Decimal:
    """Pounds of the parts that are not struck out, before any rounding. Summed here, since SQLite sums in floats."""
    rows = card.lines.filter(what=CardLine.PART, struck_at=None).values_list("quantity", "price_each")
    return sum((quantity * price_each for quantity, price_each in rows if quantity and price_each), NOTHING)
