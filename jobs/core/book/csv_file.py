"""The journal as a file that any bookkeeping program reads: RFC 4180, UTF-8, one line an entry."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from jobs.core.book.journal import JournalEntry

COLUMNS = ("date", "document", "account", "debit", "credit")
_FORMULA = ("=", "+", "-", "@", "\t", "\r")  # what a spreadsheet would work out instead of showing


def journal_csv(entries: Iterable[JournalEntry]) -> str:
    """Lines end in CR LF, amounts have a point and two decimals, an empty amount is left out.

    >>> journal_csv([])
    'date,document,account,debit,credit\\r\\n'
    """
    file = io.StringIO(newline="")
    rows = csv.writer(file, lineterminator="\r\n")
    rows.writerow(COLUMNS)
    for entry in entries:
        words = [_shown(text) for text in (entry.document, entry.account)]
        rows.writerow([entry.on.isoformat(), *words, entry.debit or "", entry.credit or ""])
    return file.getvalue()


def _shown(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULA) else text
