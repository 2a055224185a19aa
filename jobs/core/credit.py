"""What a credit note takes off a paper of one line, in the shares of net and VAT that the paper itself has."""

from __future__ import annotations

from decimal import Decimal

from garage.core.money import net_in
from jobs.core.invoice import NOTHING, OUTSIDE, BilledLine, Line, RateTotal, Totals


def taken_off(words: str, amount: Decimal, *, before: Decimal, percent: Decimal | None) -> Totals:
    """The totals of a credit note: all of them below 0, so that the book's sums need no second kind of paper.

    amount: pounds, above 0, VAT included. before: pounds that earlier credit notes took off the same paper. percent:
    its VAT rate; None if it names no VAT. Net is the increment to the running net, as on an invoice's lines, so credit
    notes for all of a paper come to its own net and VAT, to the penny.

    >>> note = taken_off("given back", Decimal("10.00"), before=Decimal("0.00"), percent=Decimal(20))
    >>> note.net, note.vat, note.gross
    (Decimal('-8.33'), Decimal('-1.67'), Decimal('-10.00'))
    """
    rate = percent or Decimal(0)
    net = net_in(before + amount, rate) - net_in(before, rate)
    vat = amount - net
    line = Line("other", words, Decimal(1), -amount, rate)
    category = OUTSIDE if percent is None else line.vat_category
    by_rate = () if percent is None else (RateTotal(rate, -net, -vat, -amount, line.vat_category),)
    return Totals((BilledLine(line, -net, -vat, -amount, category),), by_rate, -net, -vat, -amount, NOTHING)
