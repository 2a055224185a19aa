"""An estimate as it is drafted, and as it stands once it is issued."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from garage.core.errors import Showable
from garage.models.shop import Shop
from jobs.core.billing.estimate import EstimateState, why_not_take_over
from jobs.core.billing.sums import InvoiceSums, sums_of
from jobs.models.estimates import Estimate
from jobs.reads.estimates import (
    EstimateRow,
    frozen_estimate_sums,
    frozen_rows,
    is_over,
    lines_of,
    rows_now,
    stands_now,
    total_now,
)


@dataclass(frozen=True)
class DraftPage:
    """sums: None without lines, or if trouble says why they come to nothing."""

    estimate: Estimate
    rows: list[EstimateRow]
    sums: InvoiceSums | None
    is_registered: bool
    trouble: str


@dataclass(frozen=True)
class EstimateShown:
    """One in a list."""

    estimate: Estimate
    stands: EstimateState

    @property
    def is_open(self) -> bool:
        return self.stands is EstimateState.OPEN

    @property
    def is_draft(self) -> bool:
        return self.stands is EstimateState.DRAFT

    @property
    def is_yes(self) -> bool:
        return self.stands is EstimateState.YES

    @property
    def may_be_withdrawn(self) -> bool:
        return self.stands in {EstimateState.OPEN, EstimateState.RAN_OUT}

    @property
    def may_be_taken_over(self) -> bool:
        name, is_taken = self.estimate.title, self.estimate.taken_over_at is not None
        return self.estimate.visit_id is not None and not why_not_take_over(self.stands, is_taken=is_taken, name=name)


@dataclass(frozen=True)
class EstimatePage:
    """As it is frozen."""

    shown: EstimateShown
    rows: list[EstimateRow]
    sums: InvoiceSums

    @property
    def estimate(self) -> Estimate:
        return self.shown.estimate

    @property
    def is_registered(self) -> bool:
        return bool(self.estimate.seller["vat_number"])


def draft_page(draft: Estimate, shop: Shop) -> DraftPage:
    lines, registered = lines_of(draft), bool(shop.vat_number)
    if not lines:
        return DraftPage(draft, [], None, registered, "")
    try:
        totals = total_now(lines, shop)
    except Showable as error:  # the shop has changed since: its VAT number, its rate
        return DraftPage(draft, [], None, registered, error.sentence)
    return DraftPage(draft, rows_now(lines, totals), sums_of(totals), registered, "")


def estimate_page(estimate: Estimate, shop: Shop, *, now: datetime) -> EstimatePage:
    stands = stands_now(estimate, shop, is_over=is_over(estimate.visit), now=now)
    return EstimatePage(EstimateShown(estimate, stands), frozen_rows(estimate), frozen_estimate_sums(estimate))


def estimates_shown(
    estimates: Iterable[Estimate], shop: Shop, *, is_over: bool = False, now: datetime
) -> list[EstimateShown]:
    """is_over: the card of their visit is closed, or the visit."""
    return [EstimateShown(one, stands_now(one, shop, is_over=is_over, now=now)) for one in estimates]


def of_owner(estimates: Iterable[Estimate], shop: Shop, *, is_over: bool, now: datetime) -> list[EstimateShown]:
    """What an owner is shown of them: those that are issued and stand."""
    hidden = {EstimateState.DRAFT, EstimateState.WITHDRAWN, EstimateState.REPLACED}
    return [one for one in estimates_shown(estimates, shop, is_over=is_over, now=now) if one.stands not in hidden]
