"""What a credit note takes off a paper, in the shares of net and VAT that the paper itself has."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from garage.core.currencies import tax_name
from garage.core.errors import BadInput, Refused
from garage.core.money import net_in, pounds_words, to_penny
from jobs.core.billing.invoice import EXEMPT, NOTHING, OUTSIDE, BilledLine, Line, RateTotal, Totals, VatCategory


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


@dataclass(frozen=True)
class Creditable:
    """A line of an issued invoice, with what earlier credit notes took off it. Signs are the line's own: of money off,
    net, gross and what was taken are below 0.
    """

    index: int
    words: str
    percent: Decimal
    category: VatCategory
    net: Decimal
    gross: Decimal
    net_taken: Decimal
    taken: Decimal

    @property
    def left(self) -> Decimal:
        return self.gross - self.taken


def credited(lines: Sequence[Creditable], amounts: Mapping[int, Decimal]) -> tuple[tuple[int, ...], Totals]:
    """The indexes of the lines that are credited, and the totals of the credit note, all with the sign turned.

    amounts: by a line's index, pounds with VAT, between 0 and what is left of it (a line of money off: below 0). A line
    credited in full comes to its own net and VAT to the penny, however many notes it took: the last one takes what is
    left. Raises BadInput naming the line for an amount above what is left, Refused for nothing or for more at one rate
    than is charged there.

    >>> jet = Creditable(1, "Main jet", Decimal(20), "S", Decimal("8.33"), Decimal("10.00"), NOTHING, NOTHING)
    >>> credited([jet], {1: Decimal("5.00")})[1].net
    Decimal('-4.17')
    """
    for line in lines:
        _check_amount(line, amounts.get(line.index, NOTHING))
    some = [line for line in lines if amounts.get(line.index)]
    if not some or sum(amounts[line.index] for line in some) <= 0:
        raise Refused("Nothing would be credited: put an amount beside at least one line.")
    _check_rates(lines, amounts)
    billed = tuple(_billed(line, amounts[line.index]) for line in some)
    by_rate = _rates_of(billed)
    net, gross = sum((each.net for each in billed), NOTHING), sum((each.gross for each in billed), NOTHING)
    return tuple(line.index for line in some), Totals(billed, by_rate, net, gross - net, gross, NOTHING)


def _check_amount(line: Creditable, amount: Decimal) -> None:
    low, high = min(line.left, NOTHING), max(line.left, NOTHING)
    if not amount.is_finite() or amount != to_penny(amount) or not low <= amount <= high:
        allowed = "nothing more: all of it is credited" if not line.left else f"at most {pounds_words(line.left)}"
        raise BadInput(f"Line {line.index}", pounds_words(amount) if amount.is_finite() else amount, allowed)


def _check_rates(lines: Sequence[Creditable], amounts: Mapping[int, Decimal]) -> None:
    """Money off stays with what it was taken off: no rate of the invoice falls below 0."""
    left: dict[tuple[Decimal, str], Decimal] = {}
    for line in lines:
        rate = line.percent, line.category
        left[rate] = left.get(rate, NOTHING) + line.left - amounts.get(line.index, NOTHING)
    for (percent, _), over in left.items():
        if over < 0:
            raise Refused(
                f"That is {pounds_words(-over)} more than was charged at {percent.normalize():f} % {tax_name()}: "
                "credit the money off as well."
            )


def _billed(line: Creditable, amount: Decimal) -> BilledLine:
    whole = line.taken + amount
    net = (line.net if whole == line.gross else to_penny(line.net * whole / line.gross)) - line.net_taken
    written = Line("other", line.words, Decimal(1), -amount, line.percent, line.category == EXEMPT)
    return BilledLine(written, -net, net - amount, -amount, line.category)


def _rates_of(billed: Sequence[BilledLine]) -> tuple[RateTotal, ...]:
    rates = {(each.line.vat_percent, each.vat_category) for each in billed if each.vat_category != OUTSIDE}
    totals = []
    for percent, category in sorted(rates, key=lambda rate: (-rate[0], rate[1])):
        own = [each for each in billed if (each.line.vat_percent, each.vat_category) == (percent, category)]
        net, vat = sum((each.net for each in own), NOTHING), sum((each.vat for each in own), NOTHING)
        totals.append(RateTotal(percent, net, vat, net + vat, category))
    return tuple(totals)
