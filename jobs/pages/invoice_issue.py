"""The preview page of an invoice."""

from __future__ import annotations

from dataclasses import dataclass

from garage.models.shop import ROLLER, Shop
from garage.models.visits import Visit
from jobs.core.billing.invoice import NOTHING, too_much
from jobs.core.billing.sums import InvoiceSums, sums_of
from jobs.models.estimates import Estimate
from jobs.reads.access import card_of
from jobs.reads.consents import agreed_for
from jobs.reads.estimates import agreed_one
from jobs.reads.to_invoice import InvoiceDraft, draft


@dataclass(frozen=True)
class IssuePage:
    """trouble: why no invoice can be issued now. above: why not, as it is more than was agreed. sums: None if there are
    no lines. agreed_estimate: that its owner said yes to.
    """

    visit: Visit
    draft: InvoiceDraft
    sums: InvoiceSums | None
    trouble: str
    above: str
    agreed_estimate: Estimate | None

    @property
    def is_roller_visit(self) -> bool:
        return self.visit.kind.at == ROLLER

    @property
    def first_values(self) -> dict[str, object]:
        return {"was_held": self.draft.was_held, "buyer_address": self.visit.owner.address}


def issue_page(visit: Visit, shop: Shop, *, was_held: bool | None = None) -> IssuePage:
    card = card_of(visit)
    made = draft(visit, card, shop, was_held=was_held)
    trouble = too_much(made.totals) if made.totals else made.trouble
    if not (card and card.closed_at):
        trouble = "The card is not closed yet: close it with its cause first."
    gross = made.totals.gross if made.totals else NOTHING
    above = "" if trouble else agreed_for(visit, shop, made).why_not_issue(gross)
    return IssuePage(visit, made, sums_of(made.totals) if made.totals else None, trouble, above, agreed_one(visit))
