"""The journal: each paper and each payment as entries in double entry. Debits equal credits in every one of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.core.billing.invoice import NOTHING
from jobs.core.book.papers import PaperFacts, PaymentFacts

OWED, HELD, VAT, SALES = "Owed by owners", "Deposits held", "VAT", "Sales"
MONEY = {"cash": "Cash", "card": "Card machine", "transfer": "Bank"}


@dataclass(frozen=True)
class JournalEntry:
    """One line of the journal: on, of which document (such as "Invoice 12"), to which account. One of debit and credit
    is 0, neither is below 0.
    """

    on: date
    document: str
    account: str
    debit: Decimal
    credit: Decimal


def journal(papers: Iterable[PaperFacts], payments: Iterable[PaymentFacts]) -> list[JournalEntry]:
    """By day, papers before the money of that day. Nothing that comes to 0 stands in it.

    >>> day = date(2026, 3, 2)
    >>> paid = PaymentFacts(day, Decimal("50.00"), "cash", None, "Visit 7", Decimal("8.33"), "20")
    >>> [(entry.account, str(entry.debit - entry.credit)) for entry in journal([], [paid])]
    [('Cash', '50.00'), ('Deposits held', '-41.67'), ('VAT', '-8.33')]
    """
    dated = [(paper.issued_on, 0, index, _of_paper(paper)) for index, paper in enumerate(papers)]
    dated += [(paid.on, 1, index, _of_payment(paid)) for index, paid in enumerate(payments)]
    return [entry for *_, entries in sorted(dated, key=lambda each: each[:3]) for entry in entries]


def _of_paper(paper: PaperFacts) -> list[JournalEntry]:
    name = f"{'Invoice' if paper.corrects is None else 'Credit note'} {paper.number}"
    sold = [(_sales(rate.percent, rate.category), -rate.net) for rate in paper.rates] or [(SALES, -paper.net)]
    deposit = [(HELD, paper.deposit - paper.deposit_vat), (VAT, paper.deposit_vat), (OWED, -paper.deposit)]
    return _entries(paper.issued_on, name, [(OWED, paper.gross), *sold, (VAT, -paper.vat), *deposit])


def _of_payment(paid: PaymentFacts) -> list[JournalEntry]:
    money = MONEY.get(paid.how, paid.how), paid.amount
    if paid.paper is not None:
        return _entries(paid.on, paid.about, [money, (OWED, -paid.amount)])
    vat = paid.vat or NOTHING
    return _entries(paid.on, paid.about, [money, (HELD, vat - paid.amount), (VAT, -vat)])


def _sales(percent: str, category: str) -> str:
    return f"{SALES}, exempt" if category == "E" else f"{SALES} at {Decimal(percent).normalize():f}%"


def _entries(on: date, document: str, moves: Iterable[tuple[str, Decimal]]) -> list[JournalEntry]:
    return [
        JournalEntry(on, document, account, max(amount, NOTHING), max(-amount, NOTHING))
        for account, amount in moves
        if amount
    ]
