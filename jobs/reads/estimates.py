"""Estimates of a visit or of a machine, what their lines come to, and where they stand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db.models import Q, QuerySet
from django.http import Http404

from garage.core import states
from garage.models.owners import Machine
from garage.models.shop import Shop
from garage.models.visits import Visit
from jobs.core.billing.charges import Charge
from jobs.core.billing.estimate import (
    EstimateFacts,
    EstimateLine,
    EstimateState,
    read_kept,
    standing,
    totals_of,
)
from jobs.core.billing.invoice import NOTHING, BilledLine, Totals
from jobs.core.billing.sums import InvoiceSums, RateSum
from jobs.models.estimates import Estimate
from jobs.reads.consents import is_card_closed
from jobs.reads.to_invoice import NONE_SUPPLIED

WITH = ("machine__owner", "machine__kind", "visit__owner", "visit__machine", "visit__kind", "issued_by", "heard_by")
ISSUED_WITHOUT_ANSWER = Q(issued_at__isnull=False, answer="", withdrawn_at=None, replaced_by=None)


@dataclass(frozen=True)
class EstimateRow:
    """One line as page and paper show it. key: of a draft's, to take it off again."""

    key: str
    words: str
    quantity: Decimal
    unit: str
    price_each: Decimal
    vat_percent: Decimal
    vat_category: str
    net: Decimal
    vat: Decimal
    gross: Decimal

    @property
    def as_kept(self) -> dict[str, str]:
        names = ("vat_percent", "vat_category", "net", "vat", "gross", "unit")
        return {"said": self.words} | {name: str(getattr(self, name)) for name in names}


def estimate_or_404(estimate_id: int) -> Estimate:
    found = Estimate.objects.select_related(*WITH, "replaced_by").filter(pk=estimate_id).first()
    if found is None:
        raise Http404
    return found


def issued_or_404(visit: Visit, estimate_id: int) -> Estimate:
    """One that the owner of the visit may read by link."""
    rows = Estimate.objects.select_related(*WITH, "replaced_by").filter(visit=visit, pk=estimate_id)
    found = rows.exclude(issued_at=None).first()
    if found is None:
        raise Http404
    return found


def estimates_of(visit: Visit) -> list[Estimate]:
    """Newest first, drafts too."""
    return list(visit.estimates.all())


def estimates_for_machine(machine: Machine) -> list[Estimate]:
    rows = Estimate.objects.filter(_of_machine(machine.pk))
    return list(rows.select_related("heard_by", "replaced_by", "visit__kind"))


def estimates_about(visit: Visit) -> list[Estimate]:
    """The visit's, newest first, and those made for its machine before any visit, which may be used for this one."""
    waits = Q(visit=None, withdrawn_at=None, replaced_by=None, issued_at__isnull=False) & ~Q(answer=Estimate.NO)
    rows = Estimate.objects.filter(Q(visit=visit) | waits & _of_machine(visit.machine_id))
    return list(rows.select_related("heard_by", "replaced_by"))


def _of_machine(machine_id: int) -> Q:
    """And of records that were joined into it."""
    return Q(machine=machine_id) | Q(machine__joined_into=machine_id)


def open_elsewhere(estimate: Estimate) -> QuerySet[Estimate]:
    """Others that wait for an answer about the same visit, or the same machine before any."""
    same = Q(visit=estimate.visit_id) if estimate.visit_id else Q(visit=None, machine=estimate.machine_id)
    return Estimate.objects.filter(ISSUED_WITHOUT_ANSWER, same).exclude(pk=estimate.pk)


def agreed_one(visit: Visit) -> Estimate | None:
    """The one that its owner said yes to, if none has replaced it."""
    rows = Estimate.objects.filter(visit=visit, answer=Estimate.YES, replaced_by=None)
    return rows.select_related("consent").first()


def facts_of(estimate: Estimate, day: date, *, is_over: bool) -> EstimateFacts:
    """is_over: the card is closed, or the visit."""
    return EstimateFacts(
        name=estimate.title,
        is_issued=estimate.issued_at is not None,
        answer=estimate.answer,
        is_replaced=estimate.replaced_by_id is not None,
        is_withdrawn=estimate.withdrawn_at is not None,
        is_over=is_over,
        valid_until=estimate.valid_until,
        day=day,
    )


def is_over(visit: Visit | None) -> bool:
    return visit is not None and (visit.state in states.OVER or is_card_closed(visit))


def stands_now(estimate: Estimate, shop: Shop, *, is_over: bool, now: datetime) -> EstimateState:
    return standing(facts_of(estimate, shop.local_time.day(now), is_over=is_over))


def lines_of(estimate: Estimate) -> list[EstimateLine]:
    return [read_kept(line) for line in estimate.lines]


def total_now(lines: Sequence[EstimateLine], shop: Shop) -> Totals:
    """By the shop's rate of today. Raises as totals_of."""
    registered = bool(shop.vat_number)
    percent = shop.vat_percent if registered else NONE_SUPPLIED
    return totals_of(lines, shop_percent=percent, is_registered=registered)


def rows_now(lines: Sequence[EstimateLine], totals: Totals) -> list[EstimateRow]:
    return [_row(line, billed) for line, billed in zip(lines, totals.lines, strict=True)]


def frozen_rows(estimate: Estimate) -> list[EstimateRow]:
    """Of one that is issued."""
    return [_frozen_row(line) for line in estimate.lines]


def frozen_estimate_sums(estimate: Estimate) -> InvoiceSums:
    rates = tuple(
        RateSum(percent, Decimal(net), Decimal(vat), kind) for percent, net, vat, kind in estimate.vat_by_rate
    )
    return InvoiceSums(estimate.net, estimate.vat, estimate.gross, NOTHING, rates)


def what_it_says(estimate: Estimate) -> Mapping[str, object]:
    """All that stands on the paper, and the salt that goes with the words."""
    names = ("number", "issued_on", "valid_until", "text", "lines", "seller", "buyer", "machine_words", "besides")
    sums = ("net", "vat", "gross", "vat_by_rate", "currency", "salt")
    return {name: getattr(estimate, name) for name in (*names, *sums)}


def _row(line: EstimateLine, billed: BilledLine) -> EstimateRow:
    charge = Charge(billed.line, line.unit)
    return EstimateRow(
        key=line.key,
        words=charge.line.words,
        quantity=line.quantity,
        unit=charge.unit,
        price_each=line.price_each,
        vat_percent=charge.line.vat_percent,
        vat_category=billed.vat_category,
        net=billed.net,
        vat=billed.vat,
        gross=billed.gross,
    )


def _frozen_row(kept: Mapping[str, Any]) -> EstimateRow:
    return EstimateRow(
        key=kept["key"],
        words=kept["said"],
        quantity=Decimal(kept["quantity"]),
        unit=kept["unit"],
        price_each=Decimal(kept["price_each"]),
        vat_percent=Decimal(kept["vat_percent"]),
        vat_category=kept["vat_category"],
        net=Decimal(kept["net"]),
        vat=Decimal(kept["vat"]),
        gross=Decimal(kept["gross"]),
    )
