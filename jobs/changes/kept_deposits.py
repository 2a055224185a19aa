"""A deposit that is kept: income from now on, with a paper of its own, and not held any more."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from garage.changes.day.locks import visit_for_change
from garage.changes.visit import deposits
from garage.core.deposits import BACK, DECIDE
from garage.core.errors import BadInput, Refused
from garage.core.text.languages import told
from garage.models.people import Person
from garage.models.visits import Visit
from garage.output.speaking import speaking
from garage.reads.shop import the_shop
from garage.wake import wake
from jobs.changes.invoices import buyer_of, write_invoice
from jobs.core.billing.invoice import full_needs_address
from jobs.models.book import Invoice, KeptDeposit
from jobs.reads.advances import advance_vat
from jobs.reads.to_invoice import draft_of_a_kept_deposit, seller_of

LONGEST_WHY = 200  # characters


@transaction.atomic
def keep(visit: Visit, *, why: str, by: Person, now: datetime) -> Invoice:
    """By a person's word, of an owner who called off late or did not come. The owner gets the paper by mail."""
    visit, shop, why = visit_for_change(visit), the_shop(), why.strip()
    _check_it_may_be_kept(visit)
    if not why or len(why) > LONGEST_WHY:
        raise BadInput("Why", why or None, f"a few words, at most {LONGEST_WHY} characters: the owner reads them")
    number, kind = visit.number, visit.kind.name
    with speaking(visit.owner.language):
        words = told("Deposit kept, visit {number}: {kind}, {state}", number=number, kind=kind, state=visit.state_words)
    draft = draft_of_a_kept_deposit(visit, shop, words=words)
    if draft.totals is None:
        raise ValueError("a draft of one line has totals")
    if draft.needs_address and not visit.owner.address.strip():
        raise BadInput("address", None, full_needs_address())
    buyer = buyer_of(visit.owner, visit.owner.address)
    invoice = write_invoice(
        draft.rows,
        draft.totals,
        shop,
        seller=seller_of(shop),
        visit=visit,
        supplied_at=now,
        buyer=buyer,
        by=by,
        now=now,
        deposit_vat=advance_vat(visit),
    )
    KeptDeposit.objects.create(visit=visit, invoice=invoice, why=why, at=now, by=by)
    deposits.was_kept(visit, why=why, by=by, now=now)
    wake("jobs.tasks.make_papers")
    return invoice


def _check_it_may_be_kept(visit: Visit) -> None:
    if visit.deposit_then == BACK:
        raise Refused(f"The deposit of visit {visit.number} goes back to its owner: it can't be kept.")
    if visit.deposit_then != DECIDE or not visit.deposit_paid:
        raise Refused(f"There is no deposit of visit {visit.number} to keep: look at its page.")
