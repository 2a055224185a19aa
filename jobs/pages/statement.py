"""An owner's statement: every paper and every payment in their order, with what was owed after each."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from garage.core.text.languages import told
from garage.core.time.local_time import LocalTime
from garage.models.owners import Owner
from garage.reads.about_owner import with_doubles
from jobs.core.billing.invoice import NOTHING
from jobs.models.book import Invoice, Payment
from jobs.reads.book import papers_of, payments_of


@dataclass(frozen=True)
class StatementRow:
    """amount: what it adds to what is owed; below 0 of a payment or a credit note. owed: after it."""

    on: date
    words: str
    number: int | None
    amount: Decimal
    owed: Decimal


@dataclass(frozen=True)
class StatementPage:
    """owed: now; below 0 the garage owes it back, or holds it as a deposit."""

    owner: Owner
    rows: list[StatementRow]
    owed: Decimal


def statement_page(owner: Owner, local: LocalTime) -> StatementPage:
    """With every record joined to it. Its words are in the language in force."""
    owners = with_doubles(owner)
    moves: list[tuple[datetime, date, str, int | None, Decimal]]
    moves = [(row.issued_at, row.issued_on, row.title, row.number, row.gross) for row in papers_of(owners)]
    moves += [(row.at, local.day(row.at), _paid(row), _number(row.invoice), -row.amount) for row in payments_of(owners)]
    rows, owed = [], NOTHING
    for _, on, words, number, amount in sorted(moves, key=lambda move: move[0]):
        owed += amount
        rows.append(StatementRow(on, words, number, amount, owed))
    return StatementPage(owner, rows, owed)


def _number(paper: Invoice | None) -> int | None:
    return paper.number if paper else None


def _paid(row: Payment) -> str:
    how = told(row.get_how_display())
    if row.invoice is None:
        return told("Deposit paid, {how}", how=how) if row.amount > 0 else told("Deposit paid back, {how}", how=how)
    return told("Paid, {how}", how=how) if row.amount > 0 else told("Paid back, {how}", how=how)
