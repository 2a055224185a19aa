"""An estimate is drafted line by line, issued with a number of its own series, mailed, and withdrawn."""

from __future__ import annotations

import secrets
from datetime import date, datetime, timedelta

from django.db import transaction

from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.changes.mail import messages
from garage.core import money
from garage.core.errors import BadInput, Refused
from garage.core.text.languages import language_on_paper, told
from garage.models.actors import Actor
from garage.models.owners import Machine
from garage.models.people import Person
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.output.addresses import estimate_address
from garage.output.speaking import speaking
from garage.reads import links
from garage.reads.shop import the_shop
from jobs.changes.invoices import buyer_of, kept_rates, machine_words
from jobs.changes.numbers import next_number
from jobs.core.billing.estimate import (
    LONGEST_TEXT,
    USUALLY_VALID_DAYS,
    EstimateLine,
    EstimateState,
    check_valid_until,
)
from jobs.core.documents.fingerprint import fingerprint, plain
from jobs.models.estimates import Estimate
from jobs.reads.access import invoice_of
from jobs.reads.estimates import (
    agreed_one,
    frozen_estimate_sums,
    frozen_rows,
    is_over,
    lines_of,
    open_elsewhere,
    rows_now,
    stands_now,
    total_now,
    what_it_says,
)
from jobs.reads.to_invoice import seller_of

ESTIMATES = "estimate"  # the number series
MAIL = "estimate_issued"
SALT_BYTES = 16
MOVED_ON = "Somebody has just put it to a visit: open its page again."


@transaction.atomic
def begin(visit: Visit, *, by: Person, now: datetime) -> Estimate:
    """The draft of the visit: the one there is, or a new one."""
    visit = visit_for_change(visit)
    check_may_be_for(visit)
    return Estimate.objects.filter(visit=visit, issued_at=None).first() or _new(visit.machine, visit, by=by, now=now)


@transaction.atomic
def begin_before_a_visit(machine: Machine, *, by: Person, now: datetime) -> Estimate:
    """The draft for the machine: the one there is, or a new one."""
    machine = _machine_for_change(machine)
    found = Estimate.objects.filter(machine=machine, visit=None, issued_at=None).first()
    return found or _new(machine, None, by=by, now=now)


@transaction.atomic
def keep(
    draft: Estimate, *, text: str, valid_until: date, line: EstimateLine | None, by: Person, now: datetime
) -> Estimate:
    """line: one more, if one was typed. It is kept only if an invoice could carry it beside the others."""
    draft, shop = draft_for_change(draft), the_shop()
    text = text.replace("\r\n", "\n").strip()
    if len(text) > LONGEST_TEXT:
        raise BadInput("What is to be done", f"{len(text)} characters", f"at most {LONGEST_TEXT:,} characters")
    check_valid_until(valid_until, today=shop.local_time.day(now))
    if line is not None:
        lines = [*lines_of(draft), line]
        total_now(lines, shop)
        draft.lines = [one.as_kept for one in lines]
        wrote(draft, f"put on an estimate: {line.words}", by=by, now=now)
    draft.text, draft.valid_until = text, valid_until
    draft.save(update_fields=["text", "valid_until", "lines"])
    return draft


@transaction.atomic
def strike(draft: Estimate, *, key: str, by: Person, now: datetime) -> None:
    """Pressed twice, one line goes."""
    draft = draft_for_change(draft)
    gone = [line for line in draft.lines if line["key"] == key]
    if gone:
        draft.lines = [line for line in draft.lines if line["key"] != key]
        draft.save(update_fields=["lines"])
        wrote(draft, f"took off an estimate: {gone[0]['words']}", by=by, now=now)


@transaction.atomic
def discard(draft: Estimate, *, by: Person, now: datetime) -> None:
    draft = draft_for_change(draft)
    wrote(draft, "threw away the draft of an estimate", by=by, now=now)
    draft.delete()


@transaction.atomic
def issue(
    draft: Estimate, *, text: str, valid_until: date, line: EstimateLine | None, by: Person, now: datetime
) -> Estimate:
    """As it was typed last, numbered and frozen. It takes the place of one for the same visit that nobody has answered,
    and is mailed.
    """
    draft, shop = keep(draft, text=text, valid_until=valid_until, line=line, by=by, now=now), the_shop()
    if draft.visit:
        check_may_be_for(draft.visit)
    _priced(draft, shop)
    _written_to(draft, shop)
    draft.number, draft.issued_at, draft.issued_by = next_number(ESTIMATES), now, by
    draft.issued_on = shop.local_time.day(now)
    draft.salt = secrets.token_hex(SALT_BYTES)
    draft.sha256 = fingerprint({name: plain(value) for name, value in what_it_says(draft).items()})
    open_elsewhere(draft).update(replaced_by=draft)
    draft.save()
    _mail(draft, shop, now=now)
    wrote(draft, f"issued {_named(draft)}: {money.pounds_words(draft.gross)}", by=by, now=now)
    return draft


def _priced(draft: Estimate, shop: Shop) -> None:
    lines = lines_of(draft)
    totals = total_now(lines, shop)
    draft.lines = [kept.as_kept | row.as_kept for kept, row in zip(lines, rows_now(lines, totals), strict=True)]
    draft.net, draft.vat, draft.gross, draft.vat_by_rate = totals.net, totals.vat, totals.gross, kept_rates(totals)
    draft.currency = shop.currency


def _written_to(draft: Estimate, shop: Shop) -> None:
    owner = (draft.visit or draft.machine).owner
    draft.seller, draft.buyer = seller_of(shop), buyer_of(owner, owner.address)
    draft.machine_words = machine_words(draft.machine)
    draft.besides = _besides(draft.visit, shop) if draft.visit else ""


@transaction.atomic
def withdraw(estimate: Estimate, *, by: Person, now: datetime) -> None:
    """One that nobody has answered. Pressed twice, it is withdrawn once."""
    estimate, shop = for_change(estimate), the_shop()
    stands = stands_now(estimate, shop, is_over=False, now=now)
    if stands is EstimateState.WITHDRAWN:
        return
    if stands not in {EstimateState.OPEN, EstimateState.RAN_OUT}:
        raise Refused(f"{estimate.title}: {stands.value}. Only one that nobody has answered is withdrawn.")
    estimate.withdrawn_at = now
    estimate.save(update_fields=["withdrawn_at"])
    wrote(estimate, f"withdrew {_named(estimate)}", by=by, now=now)


def for_change(estimate: Estimate) -> Estimate:
    """As it is now, behind the lock of its visit, or of its machine while it has none."""
    if estimate.visit_id:
        visit_for_change(Visit(pk=estimate.visit_id))
    else:
        _machine_for_change(Machine(pk=estimate.machine_id))
    names = ("machine__owner", "visit__owner", "visit__machine", "visit__kind", "consent", "replaced_by")
    found = Estimate.objects.select_related(*names).filter(pk=estimate.pk).first()
    if found is None:
        raise Refused("This draft was thrown away.")
    if found.visit_id != estimate.visit_id:
        raise Refused(MOVED_ON)
    return found


def draft_for_change(draft: Estimate) -> Estimate:
    found = for_change(draft)
    if found.issued_at:
        raise Refused(f"{found.title} is issued: nothing on it is changed any more. Write another.")
    return found


def wrote(estimate: Estimate, did: str, *, by: Actor, now: datetime) -> None:
    visit = estimate.visit
    about = f"visit {visit.number}" if visit else f"machine {estimate.machine_id}"
    trail.wrote(did=did, about=about, by=by, now=now, visit=visit, estimate=estimate.pk)


def check_may_be_for(visit: Visit) -> None:
    """Raises Refused where a visit takes no estimate any more."""
    if is_over(visit):
        raise Refused(f"The work on visit {visit.number} is over: there is nothing to estimate any more.")
    if issued := invoice_of(visit):
        raise Refused(f"Visit {visit.number} already has an invoice: number {issued.number}.")
    if (agreed := agreed_one(visit)) and agreed.taken_over_at:
        raise Refused(
            f"The lines of {agreed.title} are on card and invoice already: ask about more work on the card instead."
        )


def new_key() -> str:
    """Of a line."""
    return secrets.token_hex(8)


def _new(machine: Machine, visit: Visit | None, *, by: Person, now: datetime) -> Estimate:
    until = the_shop().local_time.day(now) + timedelta(days=USUALLY_VALID_DAYS)
    return Estimate.objects.create(machine=machine, visit=visit, valid_until=until, drafted_at=now, drafted_by=by)


def _machine_for_change(machine: Machine) -> Machine:
    return Machine.objects.select_for_update().get(pk=machine.pk)


def _besides(visit: Visit, shop: Shop) -> str:
    if not visit.price:
        return ""
    with speaking(visit.owner.language):
        price = money.money_words(visit.price, shop.currency)
        return told("{kind}, {price}, as booked", kind=visit.kind.name, price=price)


def _named(estimate: Estimate) -> str:
    return f"estimate E{estimate.number}"


def _mail(estimate: Estimate, shop: Shop, *, now: datetime) -> None:
    """In quiet hours it waits for the morning. Before any visit there is no link: the mail says all, and to ring."""
    visit = estimate.visit
    url = estimate_address(links.token(visit, links.VISIT), estimate.pk) if visit else ""
    context = {
        "estimate": estimate,
        "estimate_url": url,
        "rows": frozen_rows(estimate),
        "totals": frozen_estimate_sums(estimate),
    }
    letter = messages.letter(MAIL, visit=visit, shop=shop, context=context, language=language_on_paper(estimate.buyer))
    due_at = shop.quiet_hours.morning_after(now, shop.local_time)
    messages.keep(MAIL, letter, to=str(estimate.buyer["email"]), visit=visit, now=now, due_at=due_at)
