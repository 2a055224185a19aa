"""Lines that a person puts on an invoice: what each kind is called and what it may take off."""

from __future__ import annotations

from decimal import Decimal

from garage.core.errors import BadInput
from garage.core.money import pounds_words
from jobs.core.billing.invoice import Line

DISCOUNT, GOODWILL, WARRANTY, EXTRA = "discount", "goodwill", "warranty", "extra"
KIND_WORDS = {
    EXTRA: "something else sold or done",
    DISCOUNT: "discount",
    GOODWILL: "goodwill",
    WARRANTY: "under warranty",
}
SAID_FIRST = {EXTRA: "", DISCOUNT: "Discount", GOODWILL: "Goodwill", WARRANTY: "Under warranty"}
MOST_WORDS = 160  # characters; what it is comes before them on the paper


def hand_line(
    kind: str, words: str, quantity: Decimal, price_each: Decimal, *, vat_percent: Decimal, is_exempt: bool = False
) -> Line:
    """The invoice line. Discount and goodwill take money off, warranty takes off or costs nothing, anything else costs.

    price_each: pounds, VAT included, below 0 for money off. Raises BadInput for a price on the wrong side of 0, and for
    what Line refuses.

    >>> hand_line("goodwill", "you waited", Decimal(1), Decimal("-10.00"), vat_percent=Decimal(20)).words
    'Goodwill: you waited'
    """
    if kind not in KIND_WORDS:
        raise BadInput("Kind", kind, ", ".join(KIND_WORDS.values()))
    if allowed := _wrong_side(kind, price_each):
        raise BadInput("Price each", pounds_words(price_each), allowed)
    if len(words) > MOST_WORDS:
        raise BadInput("What it is", f"{len(words)} characters", f"at most {MOST_WORDS} characters")
    said = ": ".join(filter(None, [SAID_FIRST[kind], words.strip()])) if words.strip() else ""
    return Line("other", said, quantity, price_each, vat_percent, is_exempt)


def _wrong_side(kind: str, price_each: Decimal) -> str:
    """What is allowed; empty if this is. Whether it is a number at all is for Line to say."""
    if not price_each.is_finite():
        return ""
    if kind in (DISCOUNT, GOODWILL) and price_each >= 0:
        return "an amount with a minus in front, which is taken off"
    if kind == WARRANTY and price_each > 0:
        return "0, or an amount with a minus in front, which is taken off"
    if kind == EXTRA and price_each < 0:
        return "0 or more: money off is a discount, goodwill or under warranty"
    return ""
