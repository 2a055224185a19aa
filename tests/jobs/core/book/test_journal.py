"""Whatever is invoiced, credited, paid and refunded in whatever order, the journal balances and agrees with the papers.

The totals that it is compared with are summed here, from the lines and the payments, without the journal's code.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from garage.core.errors import Refused
from jobs.core.billing.advances import vat_of_deposit
from jobs.core.billing.credit import Creditable, credited
from jobs.core.billing.invoice import NOTHING, Line, Totals, total_with_vat, total_without_vat
from jobs.core.book.csv_file import journal_csv
from jobs.core.book.journal import HELD, MONEY, OWED, SALES, VAT, journal
from jobs.core.book.papers import PaperFacts, PaymentFacts, RateSums
from jobs.core.book.vat import accrual, cash, summed
from tests.accounts import balances

BEGIN, ALWAYS = date(2026, 1, 1), (date(2020, 1, 1), date(2030, 1, 1))
RATE = Decimal(20)


@dataclass
class Book:
    """As the changes write it. registered: for VAT."""

    registered: bool
    papers: list[PaperFacts] = field(default_factory=list)
    payments: list[PaymentFacts] = field(default_factory=list)
    lines: dict[int, list[Creditable]] = field(default_factory=dict)
    left: dict[int, Decimal] = field(default_factory=dict)
    day: date = BEGIN

    def invoice(self, lines: list[Line], deposit: Decimal, percent: Decimal) -> None:
        number = len(self.papers) + 1
        advanced: tuple[RateSums, ...] = ()
        if deposit:
            vat = vat_of_deposit(deposit, RATE, held=NOTHING, held_vat=NOTHING) if self.registered else None
            self.payments.append(PaymentFacts(self.day, deposit, "cash", None, "a visit", vat, "20"))
            advanced = () if vat is None else (RateSums("20", "S", deposit - vat, vat),)
        totals = (total_with_vat if self.registered else total_without_vat)(lines, deposit)
        self._write(number, totals, None, advanced)
        self.left[number] = totals.gross - deposit
        self.lines[number] = [
            Creditable(i, "x", b.line.vat_percent, b.vat_category, b.net, b.gross, NOTHING, NOTHING)
            for i, b in enumerate(totals.lines)
        ]

    def credit(self, number: int, share: Decimal) -> None:
        """The same share of every line that is left, in whole pence."""
        lines = self.lines[number]
        amounts = {line.index: (line.left * share).quantize(Decimal("0.01")) for line in lines}
        try:
            indexes, note = credited(lines, amounts)
        except Refused:
            return
        self._write(len(self.papers) + 1, note, number, ())
        self.left[number] += note.gross
        for index, billed in zip(indexes, note.lines, strict=True):
            one = lines[index]
            taken = one.net_taken - billed.net, one.taken - billed.gross
            lines[index] = Creditable(index, "x", one.percent, one.category, one.net, one.gross, *taken)

    def pay(self, number: int, share: Decimal, how: str) -> None:
        """Of what is left to pay, or to refund."""
        amount = (self.left[number] * share).quantize(Decimal("0.01"))
        if amount:
            self.payments.append(PaymentFacts(self.day, amount, how, number, "paid"))
            self.left[number] -= amount

    def _write(self, number: int, totals: Totals, corrects: int | None, advanced: tuple[RateSums, ...]) -> None:
        rates = tuple(RateSums(f"{each.percent}", each.category, each.net, each.vat) for each in totals.by_rate)
        self.papers.append(
            PaperFacts(number, self.day, self.day, totals.net, totals.vat, rates, totals.deposit, advanced, corrects)
        )
        assert sum(line.gross for line in totals.lines) == totals.gross == totals.net + totals.vat
        assert sum(line.net for line in totals.lines) == totals.net


line = st.builds(
    Line,
    st.just("other"),
    st.just("words"),
    st.decimals("0.01", "20", places=2),
    st.decimals("0", "99", places=2),
    st.sampled_from([Decimal(20), Decimal(5), Decimal(0)]),
)
share = st.sampled_from([Decimal("0.1"), Decimal("0.333"), Decimal("0.5"), Decimal(1)])
which = st.integers(0, 99)
deeds = st.lists(
    st.one_of(
        st.tuples(st.just("invoice"), st.lists(line, min_size=1, max_size=3), st.sampled_from(["0", "7.77", "50"])),
        st.tuples(st.just("credit"), which, share),
        st.tuples(st.just("pay"), which, share),
    ),
    max_size=12,
)


def played(registered: bool, deeds: list[tuple]) -> Book:
    book = Book(registered)
    for deed, first, second in deeds:
        book.day += timedelta(days=1)
        if deed == "invoice":
            book.invoice(first, Decimal(second), RATE)
        elif book.lines:
            number = sorted(book.lines)[first % len(book.lines)]
            book.credit(number, second) if deed == "credit" else book.pay(number, second, "card")
    return book


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=60)
@given(st.booleans(), deeds)
def test_the_journal_balances_and_agrees_with_papers_and_payments(registered, deeds):
    book = played(registered, deeds)
    entries = journal(book.papers, book.payments)
    assert sum(entry.debit for entry in entries) == sum(entry.credit for entry in entries)
    for document in {(entry.document, entry.on) for entry in entries}:
        own = [entry for entry in entries if (entry.document, entry.on) == document]
        assert sum(entry.debit for entry in own) == sum(entry.credit for entry in own)
    sums = balances(entries)
    assert sums.get(OWED, 0) == sum(book.left.values())
    assert sums.get(HELD, 0) == 0  # every deposit is taken off its invoice
    assert -sums.get(VAT, 0) == sum(paper.vat for paper in book.papers)
    assert -sum(sum_ for name, sum_ in sums.items() if name.startswith(SALES)) == sum(p.net for p in book.papers)
    for how, account in MONEY.items():
        assert sums.get(account, 0) == sum(paid.amount for paid in book.payments if paid.how == how)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=60)
@given(deeds)
def test_both_schemes_come_to_the_vat_of_the_papers_once_all_is_paid(deeds):
    book = played(True, deeds)
    for number in book.left:
        book.pay(number, Decimal(1), "transfer")
    by_papers = summed(accrual(book.papers, book.payments), *ALWAYS)
    assert summed(cash(book.papers, book.payments), *ALWAYS) == by_papers
    assert sum(each.vat for each in by_papers) == sum(paper.vat for paper in book.papers)


def paid(day, amount, paper=1, **given):
    return PaymentFacts(date(2026, 3, day), Decimal(amount), "card", paper, "Invoice 1", **given)


def bill(**given):
    rates = (RateSums("20", "S", Decimal("100.00"), Decimal("20.00")),)
    values = {"number": 1, "issued_on": date(2026, 3, 10), "supplied_on": date(2026, 3, 9), "net": Decimal("100.00")}
    return PaperFacts(**values | {"vat": Decimal("20.00"), "rates": rates, "deposit": NOTHING} | given)


def test_a_deposit_is_due_when_it_is_paid_and_taken_off_at_the_invoice():
    advance = paid(2, "60.00", None, vat=Decimal("10.00"), percent="20")
    taken = RateSums("20", "S", Decimal("50.00"), Decimal("10.00"))
    paper = bill(deposit=Decimal("60.00"), advanced=(taken,))
    for scheme in (accrual, cash):
        moves = scheme([paper], [advance, paid(20, "60.00")])
        assert summed(moves, date(2026, 3, 1), date(2026, 3, 9)) == [taken]
    assert summed(accrual([paper], [advance]), date(2026, 3, 10), date(2026, 3, 31)) == [taken]  # the rest of it
    assert summed(cash([paper], [advance, paid(20, "60.00")]), date(2026, 3, 10), date(2026, 3, 19)) == []
    assert summed(cash([paper], [advance, paid(20, "60.00")]), date(2026, 3, 20), date(2026, 3, 20)) == [taken]


def test_under_cash_accounting_a_third_paid_is_a_third_due():
    moves = cash([bill()], [paid(12, "40.00"), paid(30, "80.00")])
    assert summed(moves, date(2026, 3, 12), date(2026, 3, 12)) == [
        RateSums("20", "S", Decimal("33.33"), Decimal("6.67"))
    ]
    assert summed(moves, date(2026, 3, 1), date(2026, 3, 31)) == [
        RateSums("20", "S", Decimal("100.00"), Decimal("20.00"))
    ]


def test_an_invoice_within_fourteen_days_of_the_work_sets_the_tax_point():
    assert bill().tax_point == date(2026, 3, 10)
    assert bill(supplied_on=date(2026, 2, 24)).tax_point == date(2026, 3, 10)
    assert bill(supplied_on=date(2026, 2, 23)).tax_point == date(2026, 2, 23)


def test_the_file_reads_back_as_it_was_written():
    entries = journal([bill()], [paid(12, "40.00")])
    text = journal_csv(entries)
    assert text.splitlines(keepends=True)[0].endswith("\r\n")
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert [(row["account"], row["debit"], row["credit"]) for row in rows] == [
        ("Owed by owners", "120.00", ""),
        ("Sales at 20%", "", "100.00"),
        ("VAT", "", "20.00"),
        ("Card machine", "40.00", ""),
        ("Owed by owners", "", "40.00"),
    ]


def test_a_name_that_a_spreadsheet_would_work_out_is_shown_as_text():
    text = journal_csv(journal([], [PaymentFacts(BEGIN, Decimal(1), "=1+1", 1, 'Visit "7", deposit')]))
    assert text.splitlines()[1] == '2026-01-01,"Visit ""7"", deposit",\'=1+1,1,'
