"""Everything that the workshop's page of a visit shows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal

from diagnostics.hearing.reads.heard import ClipLine, clip_lines
from diagnostics.models.gates import Gate
from diagnostics.models.judgements import KeptJudgement
from diagnostics.pages.causes import CauseLine, cause_lines
from diagnostics.reads.judgement import latest
from garage.core import states
from garage.core.mail.mail_tries import MOST_TRIES
from garage.core.planning.day_rules import is_overdue
from garage.core.roller_rule import RollerAct, stop_for
from garage.models.messages import Message
from garage.models.safety import SafetyRemark
from garage.models.shop import ROLLER, Shop, Station
from garage.models.trail import TrailRow
from garage.models.visits import Photo, Step, TakeIn, Visit
from garage.pages.to_tell import ToTell, warning_to_tell
from garage.reads.day_problem import step_of_now, steps_with_people
from garage.reads.roller_facts import roller_facts_of
from garage.reads.safety import safety_remarks_of
from jobs.core.billing.invoice import NOTHING
from jobs.core.next_thing import Progress, next_thing
from jobs.models.book import Invoice, KeptDeposit, Payment
from jobs.models.cards import Card
from jobs.models.parts import PartOrder
from jobs.pages.estimate import EstimateShown, estimates_shown
from jobs.pages.road_speed import road_speed_said
from jobs.pages.stations import gate_is_next, stations_for
from jobs.reads.access import card_of, invoice_of, kept_deposit_of, notes_on
from jobs.reads.book import left_with
from jobs.reads.estimates import estimates_about
from jobs.reads.parts import waits_for

TRAIL_SHOWN = 40


@dataclass(frozen=True)
class VisitPage:
    """next: the name of the next thing (core/next_thing.py). warning: not to run the machine, to be told by hand. left:
    still to pay on the invoice.

    now_step: the current or next step of a machine in the building. stations: where it can begin.

    estimates: the visit's, and those made for its machine before any.

    wish: of a machine that must not run, the roller step that waits until the bench is done.
    """

    visit: Visit
    now: datetime
    next: str
    warning: ToTell | None
    may_become: list[tuple[str, str]]
    steps: list[Step]
    now_step: Step | None
    gate_is_next: bool
    stations: list[Station]
    wish: Step | None
    take_in: TakeIn | None
    sheet_sent: bool
    sheet_begun: bool
    judgement: KeptJudgement | None
    clips: tuple[ClipLine, ...]
    gate: Gate | None
    card: Card | None
    causes: list[CauseLine]
    invoice: Invoice | None
    kept: KeptDeposit | None
    payments: list[Payment]
    left: Decimal
    photos: list[Photo]
    waits_for: list[PartOrder]
    messages: list[Message]
    safety: list[SafetyRemark]
    trail: list[TrailRow]
    older: int
    road_speed: str
    estimates: list[EstimateShown]

    @property
    def of_this_visit(self) -> list[EstimateShown]:
        return [one for one in self.estimates if one.estimate.visit_id]

    @property
    def is_estimated(self) -> bool:
        """Its owner said yes to an estimate, which takes the place of the limit."""
        return any(one.is_yes for one in self.of_this_visit)

    @property
    def before_any_visit(self) -> list[EstimateShown]:
        """Of the same machine: they may be used for this visit."""
        return [one for one in self.estimates if not one.estimate.visit_id and (one.is_open or one.is_yes)]

    @property
    def is_closed(self) -> bool:
        return self.card is not None and self.card.closed_at is not None

    @property
    def is_over(self) -> bool:
        return self.visit.state in states.OVER

    @property
    def is_coming(self) -> bool:
        return self.visit.state in states.COMING

    @property
    def is_overdue(self) -> bool:
        """Its time has begun but the machine is not here."""
        return is_overdue(self.visit.state, self.visit.starts_at, self.now)

    @property
    def refused(self) -> Message | None:
        """The last message to the owner's present address, if it was not taken or came back."""
        to_it = (row for row in self.messages if row.to and row.to == self.visit.owner.email)
        last = next((row for row in to_it if row.sent_at or row.tries >= MOST_TRIES), None)
        return last if last and (last.bounced_at or not last.sent_at) else None

    @property
    def has_failed_gate(self) -> bool:
        """And was not let through all the same."""
        return bool(self.gate and self.gate.ended_at and not self.gate.passed and not self.gate.overridden_by)

    @property
    def deposit_left(self) -> Decimal:
        return max(self.visit.deposit - self.visit.deposit_paid, NOTHING)


def visit_page(visit: Visit, shop: Shop, *, now: datetime) -> VisitPage:
    card, invoice, payments = card_of(visit), invoice_of(visit), list(visit.payments.select_related("by"))
    gate = Gate.objects.filter(visit=visit).select_related("by", "ended_by", "overridden_by").first()
    sheet = getattr(visit, "sheet", None)
    trail, steps = list(visit.trail.all()[: TRAIL_SHOWN + 1]), list(steps_with_people().filter(visit=visit))
    now_step = step_of_now(visit, steps)
    warning, left = warning_to_tell(visit, shop, now=now), _left(invoice, payments)
    standing = _standing(visit, gate, steps, now_step, card, invoice, left)
    return VisitPage(
        visit=visit,
        now=now,
        next=next_thing(replace(standing, may_not_know=warning is not None)),
        warning=warning,
        may_become=_may_become(visit),
        steps=steps,
        now_step=now_step,
        gate_is_next=gate_is_next(visit, now_step),
        stations=stations_for(visit, now_step),
        wish=_wish(visit, steps),
        take_in=getattr(visit, "take_in", None),
        sheet_sent=bool(sheet and sheet.sent_at),
        sheet_begun=bool(sheet),
        judgement=latest(visit),
        clips=clip_lines(visit),
        gate=gate,
        card=card,
        causes=list(cause_lines(visit)),
        invoice=invoice,
        kept=_kept(visit),
        payments=payments,
        left=left,
        photos=list(visit.photos.all()),
        waits_for=waits_for(visit) if visit.state == states.WAITING_FOR_PARTS else [],
        messages=list(visit.messages.all()[:20]),
        safety=list(safety_remarks_of(visit)),
        trail=trail[:TRAIL_SHOWN],
        road_speed=road_speed_said(visit),
        estimates=estimates_shown(estimates_about(visit), shop, is_over=_is_over(visit, card), now=now),
        older=max(0, visit.trail.count() - TRAIL_SHOWN) if len(trail) > TRAIL_SHOWN else 0,
    )


def _is_over(visit: Visit, card: Card | None) -> bool:
    return visit.state in states.OVER or (card is not None and card.closed_at is not None)


def _kept(visit: Visit) -> KeptDeposit | None:
    """One may have been paid where none was asked for."""
    may_be_kept = (visit.deposit or visit.state in states.OVER) and not visit.deposit_paid
    return kept_deposit_of(visit) if may_be_kept else None


def _wish(visit: Visit, steps: list[Step]) -> Step | None:
    waiting = (step for step in steps if step.at == ROLLER and step.began_at is None)
    return next(waiting, None) if visit.is_kept_off else None


def _left(invoice: Invoice | None, payments: list[Payment]) -> Decimal:
    if invoice is None:
        return NOTHING
    against = [paid for paid in payments if paid.invoice_id == invoice.pk]
    return left_with(invoice, against, notes_on(invoice))


def _standing(
    visit: Visit,
    gate: Gate | None,
    steps: list[Step],
    step: Step | None,
    card: Card | None,
    invoice: Invoice | None,
    left: Decimal,
) -> Progress:
    sessions = [one for one in steps if one.at == ROLLER]
    return Progress(
        state=visit.state,
        on_rollers=visit.kind.at == ROLLER and not (sessions and all(one.ended_at for one in sessions)),
        waits_for_boss=bool(visit.route_asked),
        rings_first=bool(visit.to_ask),
        gate_passed=visit.gate_passed_at is not None,
        gate_running=gate is not None and gate.ended_at is None,
        session_is_next=step is not None and step.at == ROLLER and step.began_at is None,
        card_closed=card is not None and card.closed_at is not None,
        is_invoiced=invoice is not None,
        to_pay_is_open=bool(left),
        is_kept_off=visit.is_kept_off,
        waits_for_its_owner=visit.waits_for_its_owner,
    )


OWN_BUTTONS = {states.CALLED_OFF, states.DID_NOT_COME, states.COLLECTED, states.READY, states.BOOKED}


def _may_become(visit: Visit) -> list[tuple[str, str]]:
    """States on the floor. Others have buttons of their own, since they do more; arrival is the take-in."""
    if visit.state not in states.IN_THE_BUILDING:
        return []
    allowed = states.MAY_FOLLOW[visit.state] - OWN_BUTTONS
    if stop_for(RollerAct.GO_ON, roller_facts_of(visit)):
        allowed -= {states.ON_THE_ROLLERS}
    return [(state, words) for state, words in states.WORDS.items() if state in allowed]
