"""What is taken off an invoice later: a credit note against it, by line, and the money that goes back with it.

A kept deposit that is given back after all is the same with one line, and its owner is told so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from garage.changes.day.locks import visit_for_change
from garage.core import money
from garage.core.errors import BadInput, Refused
from garage.core.text.languages import language_on_paper, told
from garage.models.people import Person
from garage.output.speaking import speaking
from garage.reads.shop import the_shop
from garage.wake import wake
from jobs.changes import book_locks, counter_sales, payments
from jobs.changes.invoices import write_invoice
from jobs.changes.kept_deposits import LONGEST_WHY
from jobs.changes.payments import GIVE_BACK_KEPT
from jobs.core.billing.credit import credited, taken_off
from jobs.core.billing.invoice import Totals
from jobs.models.book import CreditNote, Invoice, KeptDeposit
from jobs.reads.book import creditable, given_back, left_on
from jobs.reads.to_invoice import rows_of_a_credit_note

LATER = "later"  # what was paid too much stands as owed to its owner, until it is paid back on the invoice


@transaction.atomic
def credit(
    invoice: Invoice, *, amounts: Mapping[int, Decimal], how: str, why: str, by: Person, now: datetime
) -> Invoice:
    """amounts: by a line's index, pounds with VAT, at most what is left of it. how: cash, card, transfer or LATER.

    What is still to pay becomes less; only what was paid already goes back. The lock makes two people who credit at
    once wait for each other, and the second is refused what the first has taken.
    """
    book_locks.lock(invoice)
    _check_it_is_credited_here(invoice)
    why = _checked(why)
    lines = {line.index: line.pk for line in invoice.lines.all()}
    indexes, totals = credited(creditable(invoice), amounts)
    rows = rows_of_a_credit_note(totals, [lines[index] for index in indexes])
    note = _written(invoice, totals, rows, why=why, kept=None, by=by, now=now)
    back = min(-left_on(invoice), -note.gross)
    if back > 0 and how != LATER:
        payments.went_back_with(note, amount=back, how=how, by=by, now=now)
    said = f"credited {money.pounds_words(-note.gross)} of invoice {invoice.number}"
    _told(invoice, note, said, by=by, now=now)
    return note


@transaction.atomic
def give_back(kept: KeptDeposit, *, amount: Decimal, how: str, why: str, by: Person, now: datetime) -> Invoice:
    """amount: pounds, above 0 and at most what is still kept. The owner gets the credit note by mail.

    The visit's lock makes two people who give back at once wait for each other. Seller and buyer stand on it as on the
    paper that it corrects.
    """
    visit_for_change(kept.visit)
    paper, before = kept.invoice, given_back(kept)
    _check_amount(kept, amount, left=paper.gross - before)
    why = _checked(why)
    line = paper.lines.get()
    with speaking(language_on_paper(paper.buyer)):
        words = told("Given back of the deposit kept on invoice {number}", number=paper.number)
    totals = taken_off(words, amount, before=before, percent=line.vat_percent if paper.vat_by_rate else None)
    note = _written(paper, totals, rows_of_a_credit_note(totals, [line.pk]), why=why, kept=kept, by=by, now=now)
    payments.went_back_with(note, amount=amount, how=how, by=by, now=now)
    said = f"gave back {money.pounds_words(amount)} of the deposit kept on invoice {paper.number}"
    _told(paper, note, said, by=by, now=now)
    return note


def _checked(why: str) -> str:
    why = why.strip()
    if not why or len(why) > LONGEST_WHY:
        raise BadInput("Why", why or None, f"a few words, at most {LONGEST_WHY} characters: the owner reads them")
    return why


def _written(
    paper: Invoice,
    totals: Totals,
    rows: Sequence[Mapping[str, Any]],
    *,
    why: str,
    kept: KeptDeposit | None,
    by: Person,
    now: datetime,
) -> Invoice:
    note = write_invoice(
        rows,
        totals,
        the_shop(),
        seller=paper.seller,
        visit=paper.visit,
        supplied_at=now,
        buyer=paper.buyer,
        by=by,
        now=now,
        exempt_why=paper.exemption_words,
    )
    CreditNote.objects.create(invoice=note, corrects=paper, kept=kept, why=why, at=now, by=by)
    counter_sales.credited(paper, note)
    return note


def _told(paper: Invoice, note: Invoice, said: str, *, by: Person, now: datetime) -> None:
    did = f"{said}, credit note {note.number}: {note.credit_note.why}"
    book_locks.wrote(paper, did, by=by, now=now, number=note.number)
    wake("jobs.tasks.make_papers")


def _check_it_is_credited_here(invoice: Invoice) -> None:
    if hasattr(invoice, "credit_note"):
        raise Refused(f"{invoice.title} is a credit note itself: what it took off can be invoiced again.")
    if hasattr(invoice, "kept_deposit"):
        raise Refused(GIVE_BACK_KEPT.format(number=invoice.number))


def _check_amount(kept: KeptDeposit, amount: Decimal, *, left: Decimal) -> None:
    if left <= 0:
        raise Refused(f"All of the deposit kept on invoice {kept.invoice.number} is given back already.")
    if not 0 < amount <= left:
        allowed = f"more than 0, without a minus, up to {money.pounds_words(left)}, what is still kept"
        raise BadInput("amount", money.pounds_words(amount), allowed)
