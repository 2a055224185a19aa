"""A kept deposit that is given back after all, in whole or in part: a credit note against its paper, and the money."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core import money
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.reads.shop import the_shop
from garage.wake import wake
from jobs.changes import payments
from jobs.changes.invoices import write_invoice
from jobs.changes.kept_deposits import LONGEST_WHY
from jobs.core.credit import taken_off
from jobs.models.book import CreditNote, Invoice, KeptDeposit
from jobs.reads.book import given_back
from jobs.reads.to_invoice import draft_of_a_credit_note


@transaction.atomic
def give_back(kept: KeptDeposit, *, amount: Decimal, how: str, why: str, by: Person, now: datetime) -> Invoice:
    """amount: pounds, above 0 and at most what is still kept. The owner gets the credit note by mail.

    The visit's lock makes two people who give back at once wait for each other. Seller and buyer stand on it as on the
    paper that it corrects.
    """
    visit, paper, why = visit_for_change(kept.visit), kept.invoice, why.strip()
    before = given_back(kept)
    _check_amount(kept, amount, left=paper.gross - before)
    if not why or len(why) > LONGEST_WHY:
        raise BadInput("Why", why or None, f"a few words, at most {LONGEST_WHY} characters: the owner reads them")
    line = paper.lines.get()
    words = f"Given back of the deposit kept on invoice {paper.number}"
    totals = taken_off(words, amount, before=before, percent=line.vat_percent if paper.vat_by_rate else None)
    shop = the_shop()
    note = write_invoice(
        draft_of_a_credit_note(totals, shop),
        totals,
        shop,
        seller=paper.seller,
        visit=visit,
        supplied_at=now,
        buyer=paper.buyer,
        by=by,
        now=now,
    )
    CreditNote.objects.create(invoice=note, kept=kept, why=why, at=now, by=by)
    payments.went_back_with(note, how=how, by=by, now=now)
    said = f"gave back {money.pounds_words(amount)} of the deposit kept on invoice {paper.number}"
    trail.about_visit(visit, f"{said}, credit note {note.number}: {why}", by=by, now=now, invoice=note.number)
    wake("jobs.tasks.make_papers")
    return note


def _check_amount(kept: KeptDeposit, amount: Decimal, *, left: Decimal) -> None:
    if left <= 0:
        raise Refused(f"All of the deposit kept on invoice {kept.invoice.number} is given back already.")
    if not 0 < amount <= left:
        allowed = f"more than 0, without a minus, up to {money.pounds_words(left)}, what is still kept"
        raise BadInput("amount", money.pounds_words(amount), allowed)
