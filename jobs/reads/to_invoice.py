"""A visit's draft invoice: the lines and totals that the preview shows and issuing writes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Any, TypedDict

from diagnostics.models.returning import ReturningVisit
from garage.core import money
from garage.core.charged_time import ROUNDED
from garage.core.errors import Refused
from garage.core.text.languages import ENGLISH, in_language, told
from garage.models.shop import ROLLER, Shop
from garage.models.visits import Step, Visit
from jobs.core.billing.charges import Charge, Part, Stretch, Work, charges, labour_minutes, uncharged
from jobs.core.billing.hand_lines import hand_line
from jobs.core.billing.invoice import (
    NOTHING,
    BilledLine,
    Line,
    Totals,
    may_be_simplified,
    total_with_vat,
    total_without_vat,
)
from jobs.core.labour import Spell
from jobs.models.book import HandLine
from jobs.models.cards import Card, CardLine
from jobs.reads.access import returning_with
from jobs.reads.advances import advances_of, vat_of

NONE_SUPPLIED = Decimal(0)
HOURS = "h"  # the unit of a line by hand that is labour


class InvoiceRow(TypedDict):
    """One line as the page shows it and the invoice stores it."""

    words: str
    quantity: Decimal
    unit: str
    price_each: Decimal
    vat_percent: Decimal
    vat_category: str
    net: Decimal
    vat: Decimal
    gross: Decimal


@dataclass(frozen=True)
class InvoiceDraft:
    """The invoice as it would be now. was_held: whether the roller session is charged. totals: None without lines.

    labour_minutes: by the clock, less what the booked price covers. rounding: of it to tenths of an hour. returning: of
    a come-back. by_hand: lines that a person has put on it. trouble: why its lines have no totals. deposit_vat: what
    was due of the deposit when it was paid.
    """

    charges: tuple[Charge, ...]
    labour_minutes: int
    totals: Totals | None
    was_held: bool
    is_registered: bool
    needs_address: bool
    rounding: str
    returning: ReturningVisit | None = None
    by_hand: tuple[HandLine, ...] = ()
    trouble: str = ""
    deposit_vat: Decimal = NOTHING

    @property
    def exempt_why(self) -> str:
        return "; ".join(dict.fromkeys(line.exempt_why for line in self.by_hand if line.exempt_why))

    @property
    def rounded(self) -> str:
        """The shop's rule for tenths of an hour, in words."""
        return ROUNDED[self.rounding]

    @property
    def rows(self) -> list[InvoiceRow]:
        billed = self.totals.lines if self.totals else ()
        return [_row(charge, line) for charge, line in zip(self.charges, billed, strict=bool(billed))]


def draft(visit: Visit, card: Card | None, shop: Shop, *, was_held: bool | None = None) -> InvoiceDraft:
    """was_held: None decides from the steps: held if the machine has been on the rollers."""
    charged = _charged(visit, card, shop, was_held, until=None)
    work, lines, by_hand = charged.work, charged.lines, charged.by_hand
    advances = list(advances_of(visit)) if lines else []
    totals, trouble = _totals(lines, shop, deposit=sum((paid.amount for paid in advances), NOTHING))
    registered = bool(shop.vat_number)
    full_needed = registered and totals is not None and not may_be_simplified(totals.gross)
    minutes = labour_minutes(work.labour, work.in_price)
    rounding = shop.labour_rounding
    return InvoiceDraft(
        lines,
        minutes,
        totals,
        charged.held,
        registered,
        full_needed,
        rounding,
        charged.returning,
        by_hand,
        trouble,
        vat_of(advances),
    )


def charge_of(line: HandLine, shop: Shop) -> Charge:
    """Raises BadInput for what is no line of an invoice."""
    own = shop.vat_percent if shop.vat_number else NONE_SUPPLIED
    percent = own if line.vat_percent is None else line.vat_percent
    is_exempt = bool(line.exempt_why)
    written = hand_line(line.kind, line.words, line.quantity, line.price_each, vat_percent=percent, is_exempt=is_exempt)
    return Charge(written, line.unit)


def _totals(lines: Sequence[Charge], shop: Shop, *, deposit: Decimal) -> tuple[Totals | None, str]:
    """With why there are none: more is taken off than the rest comes to."""
    total = total_with_vat if shop.vat_number else total_without_vat
    if not lines:
        return None, ""
    try:
        with in_language(ENGLISH, str):  # why there are none is for the workshop
            return total([charge.line for charge in lines], deposit=deposit), ""
    except Refused as refused:
        return None, refused.sentence


def comes_to(visit: Visit, card: Card | None, shop: Shop, *, until: datetime) -> tuple[Decimal, bool]:
    """What the card comes to with what still runs, as if it ended then; and whether the roller session is charged."""
    charged = _charged(visit, card, shop, None, until=until)
    return sum((charge.line.gross for charge in charged.lines), NOTHING), charged.held


@dataclass(frozen=True)
class _Charged:
    """lines: those written by hand come last."""

    held: bool
    work: Work
    lines: tuple[Charge, ...]
    returning: ReturningVisit | None
    by_hand: tuple[HandLine, ...]


def _charged(visit: Visit, card: Card | None, shop: Shop, was_held: bool | None, *, until: datetime | None) -> _Charged:
    """until: None leaves out what still runs."""
    steps, by_hand = list(visit.steps.all()), tuple(visit.hand_lines.filter(struck_at=None))
    held = any(step.at == ROLLER and step.began_at for step in steps) if was_held is None else was_held
    work = _work(visit, card, steps, shop, was_held=held, until=until)
    work = replace(work, estimated_minutes=_estimated_minutes(by_hand))
    returning = returning_with(visit, card)
    lines = charges(work)
    if returning and not returning.charged_why:
        lines = uncharged(lines, words=told("Come-back of visit {number}: no charge", number=returning.earlier.number))
    return _Charged(held, work, (*lines, *(charge_of(line, shop) for line in by_hand)), returning, by_hand)


def _estimated_minutes(by_hand: Iterable[HandLine]) -> int:
    """Of labour that an accepted estimate charges, whatever the clock says."""
    return int(sum((line.quantity for line in by_hand if line.unit == HOURS), NOTHING) * 60)


def deposit_of(visit: Visit) -> Decimal:
    """Deposits taken for the visit, less refunds, and without one that was kept when it did not come before."""
    return sum(advances_of(visit).values_list("amount", flat=True), NOTHING)


def draft_of_a_kept_deposit(visit: Visit, shop: Shop, *, words: str) -> InvoiceDraft:
    """The deposit as an invoice of its own: one line, VAT included, paid in full.

    Money kept for a time that was booked and not used is the price of that booking, with VAT in it: HMRC, Revenue and
    Customs Brief 13 (2018), from 1 March 2019; from memory. The shop's accountant decides.
    """
    amount = deposit_of(visit)
    percent = shop.vat_percent if shop.vat_number else NONE_SUPPLIED
    charge = Charge(Line("other", words, Decimal(1), amount, percent))
    total = total_with_vat if shop.vat_number else total_without_vat
    full_needed = bool(shop.vat_number) and not may_be_simplified(amount)
    totals = total([charge.line], deposit=amount)
    return InvoiceDraft((charge,), 0, totals, False, bool(shop.vat_number), full_needed, shop.labour_rounding)


def rows_of(totals: Totals) -> list[InvoiceRow]:
    """Of pieces, as all lines but labour are."""
    return [_row(Charge(billed.line), billed) for billed in totals.lines]


def rows_of_a_credit_note(totals: Totals, corrected: Sequence[int]) -> list[dict[str, Any]]:
    """corrected: for each of its lines, the id of the line that it corrects."""
    return [{**row, "corrects_id": line_id} for row, line_id in zip(rows_of(totals), corrected, strict=True)]


def seller_of(shop: Shop) -> dict[str, object]:
    lines = [line.strip() for line in shop.address.splitlines() if line.strip()]
    return {
        "name": shop.name,
        "address": lines,
        "telephone": shop.telephone,
        "email": shop.email,
        "vat_number": shop.vat_number,
        "tax_name": shop.tax_name,
        "country": shop.country,
        "company_number": shop.company_number,
        "account": shop.bank_account,
        "bic": shop.bank_bic,
        "account_holder": shop.bank_holder or shop.name,
        "due_days": shop.invoice_due_days,
        "paper_size": shop.paper_size,
    }


def _work(
    visit: Visit, card: Card | None, steps: Sequence[Step], shop: Shop, *, was_held: bool, until: datetime | None
) -> Work:
    clocks = [(clock, clock.ended_at or until) for clock in card.labour.all()] if card else ()
    lines = card.lines.all() if card else ()
    parts = [line for line in lines if line.what == CardLine.PART and not line.struck_at]
    kind = visit.kind
    in_price = [step for step in steps if step.at == ROLLER or step.is_check]
    return Work(
        kind=kind.name,
        at=kind.at,
        booked_minutes=kind.minutes,
        price=visit.price,
        was_held=was_held,
        labour=tuple(
            Spell(str(clock.by_id), clock.began_at, max(clock.began_at, ended)) for clock, ended in clocks if ended
        ),
        in_price=tuple(
            Stretch(step.strapped_from or step.began_at, ended)
            for step in in_price
            if step.began_at and (ended := step.ended_at or until)
        ),
        labour_per_hour=money.to_penny(shop.labour_per_hour),
        parts=tuple(_part(line) for line in parts),
        rounding=shop.labour_rounding,
        vat_percent=shop.vat_percent if shop.vat_number else NONE_SUPPLIED,
    )


def _part(line: CardLine) -> Part:
    """Raises ValueError for a line that is not a part. The database requires price and quantity on every part."""
    if line.quantity is None or line.price_each is None:
        raise ValueError(f"line {line.pk} of the card has no quantity or price")
    return Part(line.words, line.quantity, line.price_each)


def _row(charge: Charge, billed: BilledLine) -> InvoiceRow:
    line = charge.line
    return InvoiceRow(
        words=line.words,
        quantity=line.quantity,
        unit=charge.unit,
        price_each=line.price_each,
        vat_percent=line.vat_percent,
        vat_category=billed.vat_category,
        net=billed.net,
        vat=billed.vat,
        gross=billed.gross,
    )
