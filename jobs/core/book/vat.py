"""The VAT of a period, by either scheme of HMRC.

Accrual: VAT of a paper is due at its tax point. Cash accounting: as its owner pays, in the share of the paper that is
paid (HMRC Notice 731). By both, VAT of a deposit is due the day it is paid, since a payment before the supply is a tax
point of its own (VAT Act 1994 section 6(4); HMRC Notice 700, 14.2), and the paper then takes it off.
Sources from memory; the shop's accountant decides which scheme it uses.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from garage.core.money import to_penny
from jobs.core.billing.invoice import NOTHING, STANDARD, ZERO
from jobs.core.book.papers import PaperFacts, PaymentFacts, RateSums, by_invoice, settling

Rate = tuple[str, str]  # percent and category
Due = dict[Rate, tuple[Decimal, Decimal]]  # net and VAT


@dataclass(frozen=True)
class VatMove:
    """Net and VAT that came due on a day at one rate; below 0 where they were taken off."""

    on: date
    rate: Rate
    net: Decimal
    vat: Decimal


def accrual(papers: Sequence[PaperFacts], payments: Sequence[PaymentFacts]) -> list[VatMove]:
    moves = [*_of_deposits(payments)]
    for paper in papers:
        moves += [VatMove(paper.tax_point, _rate(each), each.net, each.vat) for each in paper.rates]
        moves += _deposit_taken_off(paper, paper.tax_point)
    return moves


def cash(papers: Sequence[PaperFacts], payments: Sequence[PaymentFacts]) -> list[VatMove]:
    """Of an invoice with its credit notes, each rate is due in the share that is paid. In the end all of it is."""
    moves = [*_of_deposits(payments)]
    numbers = {paper.number: settling(paper) for paper in papers}
    paid: dict[int, list[PaymentFacts]] = {}
    for payment in payments:
        if payment.paper in numbers:
            paid.setdefault(numbers[payment.paper], []).append(payment)
    for number, together in by_invoice(papers).items():
        moves += _as_paid(together, paid.get(number, []))
    return moves


def summed(moves: Iterable[VatMove], first: date, last: date) -> list[RateSums]:
    """What came due from first to last, both included: highest rate first, nothing that comes to 0."""
    sums: Due = {}
    for move in moves:
        if first <= move.on <= last:
            net, vat = sums.get(move.rate, (NOTHING, NOTHING))
            sums[move.rate] = net + move.net, vat + move.vat
    highest_first = sorted(sums.items(), key=lambda each: (-Decimal(each[0][0]), each[0][1]))
    return [RateSums(percent, category, net, vat) for (percent, category), (net, vat) in highest_first if net or vat]


def deposit_rate(percent: str) -> Rate:
    """Of the shop's own rate, at which deposits are paid."""
    return percent, STANDARD if Decimal(percent) else ZERO


def _of_deposits(payments: Iterable[PaymentFacts]) -> list[VatMove]:
    return [
        VatMove(paid.on, deposit_rate(paid.percent), paid.amount - paid.vat, paid.vat)
        for paid in payments
        if paid.vat is not None
    ]


def _deposit_taken_off(paper: PaperFacts, on: date) -> list[VatMove]:
    return [VatMove(on, _rate(each), -each.net, -each.vat) for each in paper.advanced]


def _rate(sums: RateSums) -> Rate:
    return sums.percent, sums.category


def _as_paid(papers: Sequence[PaperFacts], payments: Sequence[PaymentFacts]) -> list[VatMove]:
    """Papers of a day count before its payments. What was taken in more than the papers come to is not sold yet."""
    events: list[tuple[date, int, PaperFacts | PaymentFacts]] = [(paper.issued_on, 0, paper) for paper in papers]
    events += [(payment.on, 1, payment) for payment in payments]
    billed: Due = {}
    due: Due = {}
    gross = paid = NOTHING
    moves: list[VatMove] = []
    for on, _, event in sorted(events, key=lambda each: each[:2]):
        if isinstance(event, PaperFacts):
            gross, paid = gross + event.gross, paid + event.deposit
            _add(billed, event.rates)
            moves += _deposit_taken_off(event, on)
        else:
            paid += event.amount
        share = min(max(paid, NOTHING), gross) / gross if gross > 0 else NOTHING
        moves += _moved(on, billed, due, share)
    return moves


def _add(billed: Due, rates: Iterable[RateSums]) -> None:
    for each in rates:
        net, vat = billed.get(_rate(each), (NOTHING, NOTHING))
        billed[_rate(each)] = net + each.net, vat + each.vat


def _moved(on: date, billed: Due, due: Due, share: Decimal) -> list[VatMove]:
    """What is due now beyond what was due before."""
    moves = []
    for rate, (net, vat) in billed.items():
        before = due.get(rate, (NOTHING, NOTHING))
        due[rate] = to_penny(net * share), to_penny(vat * share)
        moves.append(VatMove(on, rate, due[rate][0] - before[0], due[rate][1] - before[1]))
    return moves
