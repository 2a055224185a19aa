"""The front page, with price and first free time of each visit kind; and the advice, with the kind it recommends."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from diagnostics.core.asking.advice import Advice
from diagnostics.core.bank.bank import Question
from diagnostics.core.guides.guide import Guide
from diagnostics.core.guides.guides import GUIDES, guides_for_question
from diagnostics.core.telling.bank_told import told_question
from diagnostics.reads.bank import the_bank
from garage.models.shop import Shop, VisitKind
from garage.reads.access import offered_kinds
from garage.reads.free import first_free


@dataclass(frozen=True)
class KindLine:
    kind: VisitKind
    first_free: datetime | None


@dataclass(frozen=True)
class FrontPage:
    kinds: tuple[KindLine, ...]
    rev_out: Question
    strobe: Question
    guides: tuple[Guide, ...] = GUIDES

    @property
    def rev_out_guides(self) -> tuple[Guide, ...]:
        return guides_for_question(self.rev_out.id)

    @property
    def strobe_guides(self) -> tuple[Guide, ...]:
        return guides_for_question(self.strobe.id)


@dataclass(frozen=True)
class AdvicePage:
    """kind: what to book, or None if the shop does not offer it at present."""

    advice: Advice
    kind: VisitKind | None
    first_free: datetime | None


def front_page(shop: Shop | None, *, now: datetime) -> FrontPage:
    """shop: None before the garage is set up."""
    bank = the_bank()
    kinds = list(offered_kinds()) if shop else []
    times = first_free(kinds, shop, now=now) if shop else []
    lines = tuple(KindLine(kind, at) for kind, at in zip(kinds, times, strict=True))
    return FrontPage(lines, told_question(bank.question("rev_out")), told_question(bank.question("strobe_peak")))


def advice_page(advice: Advice, shop: Shop | None, *, now: datetime) -> AdvicePage:
    kind = offered_kinds().filter(booked_as=advice.book).first()
    if shop is None or kind is None:
        return AdvicePage(advice, None, None)
    return AdvicePage(advice, kind, first_free([kind], shop, now=now)[0])
