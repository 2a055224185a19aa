"""An owner says yes or no to an estimate, once; one with a yes becomes lines on card and invoice, once."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from garage.changes.day.locks import visit_for_change
from garage.core.errors import BadInput, Refused
from garage.core.money import pounds_words
from garage.core.text.languages import in_english
from garage.models.actors import OWNER, Actor
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.shop import the_shop
from jobs.changes import cards, part_orders
from jobs.changes.estimates import MOVED_ON, check_may_be_for, for_change, wrote
from jobs.core.billing.agreed import said_at
from jobs.core.billing.estimate import EstimateLine, EstimateState, consent_words, why_not_answer, why_not_take_over
from jobs.models.book import HandLine
from jobs.models.consents import Consent
from jobs.models.estimates import Estimate
from jobs.reads.access import card_of, invoice_of
from jobs.reads.estimates import agreed_one, facts_of, is_over, lines_of, open_elsewhere, stands_now
from jobs.reads.parts import listed_parts


@transaction.atomic
def answer_by_owner(estimate: Estimate, *, answer: str, now: datetime) -> None:
    """Answered with the same word twice, it stays answered once."""
    _answered(estimate, answer, heard_by=None, at=now, by=OWNER, now=now)


@transaction.atomic
def answer_by_phone(
    estimate: Estimate, *, answer: str, heard_by: Person, heard_at: datetime, by: Person, now: datetime
) -> None:
    """heard_by: who heard the owner say so, and heard_at: when; by that day it was valid or not. by: who writes it."""
    issued_at = estimate.issued_at or now
    heard_at = said_at(heard_at, asked_at=issued_at)
    if not issued_at <= heard_at <= now:
        raise BadInput("When", the_shop().local_time.in_words(heard_at), "a time after it was issued, until now")
    _answered(estimate, answer, heard_by=heard_by, at=heard_at, by=by, now=now)


@transaction.atomic
def use_for(estimate: Estimate, visit: Visit, *, by: Person, now: datetime) -> None:
    """One that was made before any visit is put to this one, with its yes if it has one."""
    visit, estimate = visit_for_change(visit), for_change(estimate)
    if estimate.visit_id:
        raise Refused(MOVED_ON)
    if visit.machine_id not in {estimate.machine_id, estimate.machine.joined_into_id}:
        raise Refused(f"{estimate.title} is for another machine than visit {visit.number}.")
    check_may_be_for(visit)
    stands = stands_now(estimate, the_shop(), is_over=False, now=now)
    if stands not in {EstimateState.OPEN, EstimateState.YES}:
        raise Refused(f"{estimate.title}: {stands.value}. Make another for this visit.")
    estimate.visit = visit
    if stands is EstimateState.OPEN:
        open_elsewhere(estimate).update(replaced_by=estimate)
    else:
        estimate.consent = _agreed(estimate, visit)
    estimate.save(update_fields=["visit", "consent"])
    wrote(estimate, f"put estimate E{estimate.number} to this visit", by=by, now=now)


@transaction.atomic
def take_over(estimate: Estimate, *, by: Person, now: datetime) -> list[str]:
    """Parts go on the open card, out of stock; all other lines on the invoice to be. What was listed and is not there
    is put down as ordered for the card, and returned in words.
    """
    estimate = for_change(estimate)
    stands, visit = stands_now(estimate, the_shop(), is_over=False, now=now), estimate.visit
    if why := why_not_take_over(stands, is_taken=estimate.taken_over_at is not None, name=estimate.title):
        raise Refused(why)
    if visit is None:
        raise Refused(f"{estimate.title} is for no visit yet: put it to one first.")
    if issued := invoice_of(visit):
        raise Refused(f"Visit {visit.number} already has an invoice: number {issued.number}.")
    if later := open_elsewhere(estimate).first():
        raise Refused(f"{later.title} waits for an answer in its place: wait for that, or withdraw it.")
    estimate.taken_over_at = now
    estimate.save(update_fields=["taken_over_at"])
    card = card_of(visit)
    is_open = not (card and card.closed_at)
    if is_open:
        cards.opened(visit, by=by, now=now)
    ordered = []
    for line in lines_of(estimate):
        if not (is_open and line.goes_on_the_card):
            _by_hand(visit, line, by=by, now=now)
        elif not _on_the_card(visit, line, by=by, now=now):
            ordered.append(line.words)
    wrote(estimate, f"put the lines of estimate E{estimate.number} on card and invoice", by=by, now=now)
    return ordered


def _answered(
    estimate: Estimate, answer: str, *, heard_by: Person | None, at: datetime, by: Actor, now: datetime
) -> None:
    if answer not in {Estimate.YES, Estimate.NO}:
        raise BadInput("answer", answer, "yes or no")
    estimate, shop = for_change(estimate), the_shop()
    if estimate.answer == answer and estimate.heard_by == heard_by:
        return
    facts = facts_of(estimate, shop.local_time.day(at), is_over=is_over(estimate.visit))
    if why := why_not_answer(facts, shop.telephone):
        raise Refused(why)
    estimate.answered_at, estimate.heard_by = at, heard_by
    if answer == Estimate.YES and estimate.visit:
        estimate.consent = _agreed(estimate, estimate.visit)
    estimate.answer = answer
    estimate.save(update_fields=["answer", "answered_at", "heard_by", "consent"])
    how = f", heard by {heard_by.name} on the telephone" if heard_by else ""
    did = f"the owner said {answer}{how} to estimate E{estimate.number}, {in_english(pounds_words, estimate.gross)}"
    wrote(estimate, did, by=by, now=now)


def _agreed(estimate: Estimate, visit: Visit) -> Consent:
    """The yes as the rule of what is agreed knows it (jobs/core/billing/agreed.py), in place of an earlier one's."""
    former = agreed_one(visit)
    if former and former.taken_over_at:
        raise Refused(f"The lines of {former.title} are on card and invoice already, so it stays.")
    if former:
        former.replaced_by = estimate
        former.save(update_fields=["replaced_by"])
    return Consent.objects.create(
        visit=visit,
        words=in_english(lambda: consent_words(estimate.title, estimate.text, estimate.gross)),
        price=estimate.gross,
        asked_at=estimate.issued_at or estimate.drafted_at,
        asked_by=estimate.issued_by or estimate.drafted_by,
        replaces=former.consent if former else None,
        answer=Consent.YES,
        answered_at=estimate.answered_at,
        heard_by=estimate.heard_by,
    )


def _on_the_card(visit: Visit, line: EstimateLine, *, by: Person, now: datetime) -> bool:
    """Whether it is there: else it is ordered, and goes on the card when it comes."""
    stock = listed_parts().filter(pk=line.stock_id).first() if line.stock_id else None
    words, quantity, each = line.words, line.quantity, line.price_each
    if stock and stock.count < quantity:
        part_orders.order(visit, words=words, quantity=quantity, price_each=each, stock=stock, by=by, now=now)
        return False
    cards.part(visit, words=words, quantity=quantity, price_each=each, stock=stock, by=by, now=now)
    return True


def _by_hand(visit: Visit, line: EstimateLine, *, by: Person, now: datetime) -> None:
    HandLine.objects.create(
        visit=visit,
        kind=line.hand_kind,
        words=line.words,
        quantity=line.quantity,
        unit=line.unit,
        price_each=line.price_each,
        vat_percent=line.vat_percent,
        exempt_why=line.exempt_why,
        at=now,
        by=by,
    )
