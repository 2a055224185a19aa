"""What the owner sees of the visit that the personal link is for. No internal workshop information."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.conf import settings
from django.urls import reverse

from diagnostics.core.telling.owner_words import what_pointed
from diagnostics.hearing.reads.heard import has_sent_clips
from diagnostics.pages.causes import cause_lines
from diagnostics.reads.bank import the_bank
from diagnostics.reads.judgement import latest
from diagnostics.reads.rev_out import rev_out_of
from garage.core import routes, states
from garage.core.errors import Refused
from garage.core.selling import own_changes
from garage.core.selling.owner_choice import MYSELF
from garage.models.shop import Shop
from garage.models.standby import Offer, Standby
from garage.models.visits import Visit
from garage.output.addresses import sheet_address
from garage.reads import links
from garage.reads.arrival import arrive_at
from garage.reads.owner_choice import is_choice_open, may_take_time
from garage.reads.roller_facts import own_time
from garage.reads.standby import may_agree_to_go_on, offers_open_to, stands_by
from jobs.core.billing.invoice import NOTHING
from jobs.core.owner_words import next_words
from jobs.models.book import CreditNote, Invoice, KeptDeposit
from jobs.pages.asked import AskedShown, shown
from jobs.pages.estimate import EstimateShown, of_owner
from jobs.reads.access import card_of, invoice_of, kept_deposit_of, notes_on
from jobs.reads.book import left_with
from jobs.reads.consents import asked_of
from jobs.reads.estimates import estimates_of


@dataclass(frozen=True)
class OwnVisitPage:
    """pointed: the owner's own answers that speak for the route. may_not_move, may_not_call_off: why not, in a
    sentence; empty if the owner may. may_choose: it is to be put right, and its owner says how. may_pick: it has no
    time, and its owner picks one. may_agree: its owner can say that it goes on when the rollers come free, or take that
    back. offers: of times that came free, still open. left: still to pay. asked: about more work, if not
    asked anew.
    """

    visit: Visit
    arrive_at: datetime | None
    says: tuple[str, ...]
    pointed: tuple[str, ...]
    sheet_url: str
    sheet_sent: bool
    clip_url: str
    has_clips: bool
    may_not_move: str
    may_not_call_off: str
    may_choose: bool
    may_pick: bool
    may_agree: bool
    standby: Standby | None
    offers: tuple[Offer, ...]
    causes: list[str]
    found_good: list[str]
    nothing_wrong: bool
    invoice: Invoice | None
    kept: KeptDeposit | None
    left: Decimal
    notes: list[CreditNote]
    asked: list[AskedShown]
    estimates: list[EstimateShown]
    has_report: bool

    @property
    def is_coming(self) -> bool:
        return self.visit.state in states.COMING

    @property
    def puts_it_right(self) -> bool:
        """At home, and has neither a new time nor the judgement that it is ready for one."""
        is_mended = self.may_pick or self.visit.starts_at is not None
        return self.is_coming and self.visit.choice == MYSELF and not is_mended

    @property
    def must_answer(self) -> bool:
        return any(one.is_open for one in self.asked)

    @property
    def is_over(self) -> bool:
        return self.visit.state in states.OVER


def owner_page(visit: Visit, shop: Shop, *, now: datetime) -> OwnVisitPage:
    card, invoice = card_of(visit), invoice_of(visit)
    notes = notes_on(invoice) if invoice else []
    closed = card is not None and card.closed_at is not None
    named = cause_lines(visit) if closed else ()
    sheet = getattr(visit, "sheet", None)
    sheet_sent = bool(sheet and sheet.sent_at)
    has_clips = has_sent_clips(visit)
    return OwnVisitPage(
        visit=visit,
        arrive_at=arrive_at(visit),
        says=_says(visit, sheet_sent=sheet_sent, work_done=closed),
        pointed=_pointed(visit),
        sheet_url=sheet_address(links.token(visit, links.SHEET)) if links.lives(visit, links.SHEET, now) else "",
        sheet_sent=sheet_sent,
        clip_url=_clip_url(visit, now, has_clips),
        has_clips=has_clips,
        may_not_move=may_not_move(visit, shop, now=now),
        may_not_call_off=may_not_call_off(visit, shop),
        may_choose=is_choice_open(visit),
        may_pick=may_take_time(visit),
        may_agree=may_agree_to_go_on(visit),
        standby=stands_by(visit) if visit.state in states.COMING else None,
        offers=tuple(offers_open_to(visit, now)) if visit.state not in states.OVER | {states.READY} else (),
        causes=[line.says for line in named if not line.cause.found_good],
        found_good=[line.says for line in named if line.cause.found_good],
        nothing_wrong=card is not None and closed and card.nothing_wrong,
        invoice=invoice,
        kept=kept_deposit_of(visit) if visit.state in states.OVER and not visit.deposit_paid and not invoice else None,
        left=left_with(invoice, invoice.payments.all(), notes) if invoice else NOTHING,
        notes=notes,
        asked=_asked(visit, closed) if card else [],
        estimates=of_owner(estimates_of(visit), shop, is_over=closed or visit.state in states.OVER, now=now),
        has_report=closed,
    )


def _says(visit: Visit, *, sheet_sent: bool, work_done: bool) -> tuple[str, ...]:
    return next_words(
        visit.state,
        has_time=bool(visit.starts_at),
        route=routes.DO_NOT_RUN if visit.is_kept_off else visit.route,
        sheet_sent=sheet_sent,
        work_done=work_done,
        choice=visit.choice,
    )


def _asked(visit: Visit, closed: bool) -> list[AskedShown]:
    found = shown(asked_of(visit), is_over=closed or visit.state in states.OVER)
    return [one for one in found if not one.new_one and not one.estimate]


def _pointed(visit: Visit) -> tuple[str, ...]:
    """None for the rollers, nor where the boss is still asked or has decided otherwise."""
    if visit.state not in states.COMING or visit.route_asked or visit.route in {"", routes.ROLLER_READY}:
        return ()
    kept = latest(visit)
    return tuple(what_pointed(the_bank(), kept.judgement)) if kept and kept.route == visit.route else ()


def _clip_url(visit: Visit, now: datetime, has_clips: bool) -> str:
    """The address of the rev-out clip page. Empty if no clip is asked for, or none was sent in time."""
    if not links.lives(visit, links.SHEET, now):
        return reverse("owner-clip", args=[links.token(visit, links.VISIT)]) if has_clips else ""
    if not (has_clips or rev_out_of(visit).may_be_asked):
        return ""
    return str(settings.SITE_URL) + reverse("sheet-clip", args=[links.token(visit, links.SHEET)])


def may_not_move(visit: Visit, shop: Shop, *, now: datetime) -> str:
    try:
        own_changes.check_owner_may_move(own_time(visit, shop), now, shop.telephone)
    except Refused as refused:
        return refused.sentence
    return ""


def may_not_call_off(visit: Visit, shop: Shop) -> str:
    try:
        own_changes.check_owner_may_call_off(visit.state, shop.telephone)
    except Refused as refused:
        return refused.sentence
    return ""
