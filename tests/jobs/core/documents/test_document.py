"""Whatever the book bills, its electronic invoice adds up."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from garage.core.errors import Refused
from jobs.core.billing.credit import taken_off
from jobs.core.billing.invoice import OUTSIDE, Line, total_with_vat, total_without_vat
from jobs.core.documents.document import Corrected, Document, DocumentLine, Party, checked

DAY = date(2026, 3, 10)
PARTY = Party("A", ("B",), "GB")
PERCENTS = st.sampled_from([Decimal(20), Decimal(5), Decimal(0), Decimal("13.5"), Decimal(25)])
LINES = st.lists(
    st.builds(
        Line,
        st.just("other"),
        st.just("x"),
        st.decimals("0.01", "999", places=2),
        st.decimals("-50", "2000", places=2),
        PERCENTS,
    ),
    min_size=1,
    max_size=6,
)


def line_of(index, billed, sign):
    line, category = billed.line, billed.vat_category
    percent = Decimal(0) if category == OUTSIDE else line.vat_percent
    return DocumentLine(
        index, line.words, line.quantity, "", sign * billed.net, sign * billed.vat, category, percent
    )  # fmt: skip


def document_of(totals, sign=1, corrects=None):
    lines = tuple(line_of(index, billed, sign) for index, billed in enumerate(totals.lines, start=1))
    sums = {"net": sign * totals.net, "vat": sign * totals.vat, "gross": sign * totals.gross}
    return Document(1, DAY, DAY, "GBP", PARTY, PARTY, lines, corrects=corrects, **sums)


@given(LINES)
def test_an_invoice_of_any_lines_adds_up_with_vat_and_without(lines):
    for total in (total_with_vat, total_without_vat):
        try:
            totals = total(lines)
        except Refused:
            continue
        assert checked(document_of(totals)).payable == totals.gross


@given(st.decimals("0.01", "999.99", places=2), st.decimals("0", "999.99", places=2), PERCENTS)
def test_a_credit_note_adds_up_whatever_was_taken_off_before(amount, before, percent):
    note = document_of(taken_off("x", amount, before=before, percent=percent), -1, Corrected(1, DAY))
    assert checked(note).gross == amount
