"""What the owner was asked beside what was agreed: for the card, the workshop's page of it and the owner's."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from garage.core import states
from garage.models.shop import Shop
from garage.models.visits import Photo, Visit
from jobs.core.billing.agreed import Agreed, AskedState
from jobs.core.billing.invoice import NOTHING
from jobs.models.cards import Card
from jobs.models.consents import AboveAgreed, AskedAgain, Consent
from jobs.models.estimates import Estimate
from jobs.reads import to_invoice
from jobs.reads.access import card_of
from jobs.reads.consents import agreed_for, agreed_to, is_card_closed, said_yes_to, standing_of


@dataclass(frozen=True)
class AskedShown:
    """A request with where it stands. photos: those shown with it."""

    consent: Consent
    standing: AskedState

    @property
    def is_open(self) -> bool:
        return self.standing is AskedState.OPEN

    @property
    def is_answered(self) -> bool:
        return self.standing in {AskedState.YES, AskedState.NO}

    @property
    def reminded_at(self) -> datetime | None:
        """While it is still open."""
        again: AskedAgain | None = getattr(self.consent, "asked_again", None)
        return again.at if again and self.is_open else None

    @property
    def estimate(self) -> Estimate | None:
        """That it is the yes to."""
        found: Estimate | None = getattr(self.consent, "estimate", None)
        return found

    @property
    def new_one(self) -> Consent | None:
        """What was asked in its place."""
        found: Consent | None = getattr(self.consent, "replaced_by", None)
        return found


@dataclass(frozen=True)
class AgreedShown:
    """Pounds, VAT included. stands: what the card comes to now, with the clocks that run."""

    agreed: Agreed
    stands: Decimal

    @property
    def above(self) -> Decimal:
        return self.agreed.above(self.stands)


@dataclass(frozen=True)
class AskPage:
    """photos: to choose from. replaces: asked anew at another price, if it is."""

    visit: Visit
    photos: list[Photo]
    money: AgreedShown
    replaces: Consent | None


@dataclass(frozen=True)
class AbovePage:
    """An invoice that comes to more than was agreed. let: who let it, so far."""

    visit: Visit
    money: AgreedShown
    why_not_issue: str
    let: list[AboveAgreed]


def shown(consents: Iterable[Consent], *, is_over: bool) -> list[AskedShown]:
    return [AskedShown(one, standing_of(one, is_over=is_over)) for one in consents]


def asked_shown(consent: Consent) -> AskedShown:
    visit = consent.visit
    is_over = visit.state in states.OVER or is_card_closed(visit)
    return AskedShown(consent, standing_of(consent, is_over=is_over))


def agreed_shown(
    visit: Visit, card: Card | None, shop: Shop, asked: Iterable[Consent], *, now: datetime
) -> AgreedShown:
    stands, was_held = to_invoice.comes_to(visit, card, shop, until=now)
    return AgreedShown(agreed_to(visit, shop, asked, was_held=was_held), stands)


def ask_page(visit: Visit, shop: Shop, *, replaces: Consent | None, now: datetime) -> AskPage:
    money = agreed_shown(visit, card_of(visit), shop, said_yes_to(visit), now=now)
    return AskPage(visit, list(visit.photos.all()), money, replaces)


def above_page(visit: Visit, shop: Shop, *, was_held: bool | None) -> AbovePage:
    draft = to_invoice.draft(visit, card_of(visit), shop, was_held=was_held)
    agreed, gross = agreed_for(visit, shop, draft), draft.totals.gross if draft.totals else NOTHING
    let = list(visit.above_agreed.select_related("by"))
    return AbovePage(visit, AgreedShown(agreed, gross), agreed.why_not_issue(gross), let)
