"""The accounts of a journal, to compare with sums of the papers and payments themselves."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from jobs.core.book.journal import JournalEntry


def balances(entries: Iterable[JournalEntry]) -> dict[str, Decimal]:
    """Debits less credits, by account."""
    sums: dict[str, Decimal] = {}
    for entry in entries:
        sums[entry.account] = sums.get(entry.account, Decimal(0)) + entry.debit - entry.credit
    return sums
