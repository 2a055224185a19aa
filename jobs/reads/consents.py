"""What the owner of a visit was asked, and what is agreed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from decimal import Decimal

from django.db.models import QuerySet
from django.http import Http404

from garage.core import states
from garage.core.money import MOST, to_penny
from garage.models.shop import ROLLER, Shop
from garage.models.visits import Photo, Visit
from jobs.core.billing.agreed import Agreed, AskedState, standing
from jobs.core.billing.invoice import NOTHING
from jobs.models.cards import Card
from jobs.models.consents import AboveAgreed, Consent
from jobs.reads.access import card_of
from jobs.reads.cards import parts_come_to
from jobs.reads.to_invoice import InvoiceDraft

WITH = ("asked_by", "heard_by", "replaced_by", "asked_again", "estimate", "visit__owner", "visit__machine")


def asked_of(visit: Visit) -> list[Consent]:
    """Oldest first, replaced ones too."""
    return list(visit.consents.select_related("asked_by", "heard_by", "replaced_by", "asked_again", "estimate"))


def said_yes_to(visit: Visit) -> list[Consent]:
    return list(visit.consents.filter(answer=Consent.YES).select_related("replaced_by", "estimate"))


def asked_or_404(visit: Visit, consent_id: int) -> Consent:
    found = Consent.objects.select_related(*WITH).filter(visit=visit, pk=consent_id).first()
    if found is None:
        raise Http404
    return found


def not_answered(*, asked_by: datetime) -> QuerySet[Consent]:
    """Requests that were open until then or longer, and of which nobody was reminded yet. Oldest first."""
    rows = Consent.objects.filter(answer="", replaced_by=None, asked_again=None, asked_at__lte=asked_by)
    return rows.exclude(visit__state__in=states.OVER).select_related("visit")


def waits_since(visit: Visit) -> datetime | None:
    """When the oldest open request was asked of which the owner was reminded in vain."""
    rows = Consent.objects.filter(visit=visit, answer="", replaced_by=None, asked_again__isnull=False)
    return rows.values_list("asked_at", flat=True).first()


def photo_shown_or_404(consent: Consent, photo_id: int) -> Photo:
    """One that stands on the request."""
    found = Photo.objects.filter(visit=consent.visit_id, pk=photo_id).first()
    if found is None or photo_id not in {shown["id"] for shown in consent.photos}:
        raise Http404
    return found


def standing_of(consent: Consent, *, is_over: bool) -> AskedState:
    """is_over: the card is closed, or the visit."""
    return standing(answer=consent.answer, is_replaced=consent.is_replaced, is_over=is_over)


def is_card_closed(visit: Visit) -> bool:
    return Card.objects.filter(visit=visit, closed_at__isnull=False).exists()


def agreed_to(visit: Visit, shop: Shop, asked: Iterable[Consent], *, was_held: bool) -> Agreed:
    """By the owner. asked: what the owner was asked. was_held: whether the roller session is charged.

    An estimate that stands promises that no more is done without another yes, so it takes the place of the limit.
    """
    yeses = [row for row in asked if row.answer == Consent.YES and not row.is_replaced]
    is_estimated = any(hasattr(row, "estimate") for row in yeses)
    limit = shop.bench_limit_pounds if visit.bench_limit_pounds is None else visit.bench_limit_pounds
    is_charged = was_held or visit.kind.at != ROLLER
    return Agreed(
        booked=visit.price if is_charged else NOTHING,
        limit=NOTHING if is_estimated else Decimal(limit),
        yeses=tuple(row.price for row in yeses),
    )


def most_deposit(visit: Visit) -> Decimal:
    """Pounds that may be paid before the invoice: what was asked for, or the price and with it the parts on the card or
    what the owner said yes to, whichever is more.
    """
    card = card_of(visit)
    parts = parts_come_to(card) if card else NOTHING
    agreed = sum((row.price for row in said_yes_to(visit) if not row.is_replaced), NOTHING)
    return min(max(visit.deposit, to_penny(visit.price + max(parts, agreed))), MOST)


def why_above_agreed(visit: Visit, shop: Shop, draft: InvoiceDraft, gross: Decimal) -> str:
    """Why an invoice of this sum may not be issued; empty if it may. What was let through is read only where it counts:
    it makes nothing worse.
    """
    agreed = _agreed_by_owner(visit, shop, draft)
    return agreed.why_not_issue(gross) and agreed_for(visit, shop, draft).why_not_issue(gross)


def _agreed_by_owner(visit: Visit, shop: Shop, draft: InvoiceDraft) -> Agreed:
    return agreed_to(visit, shop, said_yes_to(visit), was_held=draft.was_held)


def agreed_for(visit: Visit, shop: Shop, draft: InvoiceDraft) -> Agreed:
    """And what somebody let through."""
    agreed = _agreed_by_owner(visit, shop, draft)
    let = AboveAgreed.objects.filter(visit=visit).values_list("up_to", flat=True)
    return replace(agreed, let_through=max(let, default=NOTHING))
