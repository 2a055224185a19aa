"""The bank with the shop's own counts, and the closed cards they are recomputed from."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from functools import lru_cache
from typing import TYPE_CHECKING, TypedDict

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import read_case
from diagnostics.core.learning.counts import ClosedCard, Counts, with_counts
from diagnostics.models.causes import Cause
from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.learning import Closing, ComeBack, Learned, Reopening
from diagnostics.models.unnamed import UnnamedCase
from diagnostics.reads.bank import the_bank
from diagnostics.reads.machine_facts import machine_facts
from garage.models.visits import Visit

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

    class BackSince(TypedDict):
        """What closings_now() annotates each row with."""

        back_since: datetime | None

    ClosingNow = WithAnnotations[Closing, BackSince]


def counts_now() -> Learned | None:
    """The newest counts; None if no card was closed yet, or none since this edition of the bank."""
    newest = Learned.objects.first()
    return newest if newest and newest.edition == the_bank().edition else None


def bank_with(learned: Learned | None) -> Bank:
    """The bank with the base rates from these counts."""
    if learned is None:
        return the_bank()
    return _bank(the_bank(), tuple(sorted(learned.chances.items())))


@lru_cache(maxsize=8)
def _bank(bank: Bank, chances: tuple[tuple[str, float], ...]) -> Bank:
    return with_counts(bank, Counts(bank.edition, {}, dict(chances), 0, 0))


@lru_cache(maxsize=8)
def asking_bank(bank: Bank, stopped_in_time_pence: int) -> Bank:
    """The bank with the shop's own figure for what stopping an engine in time is worth."""
    return replace(bank, routing=replace(bank.routing, stopped_in_time_pence=stopped_in_time_pence))


def closings_now() -> QuerySet[ClosingNow]:
    """Those of cards that are closed now. `back_since`: when its machine was marked as a come-back; None if not."""
    standing = ComeBack.objects.filter(closing=OuterRef("pk"), withdrawn_at=None)
    reopened = Reopening.objects.filter(closing=OuterRef("pk"), closed_again_at=None)
    return Closing.objects.filter(~Exists(reopened)).annotate(back_since=Subquery(standing.values("at")[:1]))


def named_closings() -> QuerySet[ClosingNow]:
    """Those that teach by their visit: of the others an unnamed case is kept, and nothing done to them later counts."""
    return closings_now().filter(visit__forgotten_at=None)


def closed_cards() -> list[ClosedCard]:
    """Every closed card as it is now, with later withdrawals and corrections, and what is left of older ones."""
    closings = list(named_closings().select_related("visit__machine__kind", "visit__kind"))
    causes: dict[int, list[Cause]] = {}
    for row in Cause.objects.filter(withdrawn_at=None, found_good=False, visit__closing__isnull=False):
        causes.setdefault(row.visit_id, []).append(row)
    before = _cases_before_arrival()
    named = [_closed_card(one, causes.get(one.visit_id, []), before.get(one.visit_id)) for one in closings]
    return [_unnamed_card(one) for one in UnnamedCase.objects.all()] + named


def _unnamed_card(one: UnnamedCase) -> ClosedCard:
    return ClosedCard(
        case=read_case(the_bank(), one.case),
        causes=frozenset(one.causes),
        has_own_words=one.has_own_words,
        came_back=one.came_back,
    )


def _cases_before_arrival() -> dict[int, dict[str, object]]:
    rows = KeptJudgement.objects.filter(visit__closing__isnull=False, at__lt=F("visit__arrived_at")).order_by(
        "at", "id"
    )
    return dict(rows.values_list("visit_id", "case"))


def _closed_card(closing: ClosingNow, causes: list[Cause], case: dict[str, object] | None) -> ClosedCard:
    return ClosedCard(
        case=read_case(the_bank(), case or unjudged_case(closing.visit)),
        causes=frozenset(row.fault for row in causes if row.fault),
        has_own_words=any(not row.fault for row in causes),
        came_back=closing.back_since is not None,
    )


def unjudged_case(visit: Visit) -> dict[str, object]:
    """A visit that was never judged before it came in counts with its machine and what it was booked for."""
    return {"case": f"V-{visit.number}", "machine": machine_facts(visit.machine), "booked": visit.kind.booked_as}
