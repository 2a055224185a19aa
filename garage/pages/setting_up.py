"""What is still missing until the first roller time can be sold, in words, page by page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from garage.core.selling.setting_up import BeginPage, Lack, first_lacking
from garage.models.shop import Shop, VisitKind
from garage.reads.setting_up import first_session, missing

TITLES = {
    BeginPage.GARAGE: "The garage",
    BeginPage.STATIONS: "Rollers, benches and opening hours",
    BeginPage.PEOPLE: "People and their hours",
    BeginPage.SESSION: "The roller session",
    BeginPage.MONEY: "Labour, VAT and payment",
}
WORDS = {
    Lack.NAME: "the garage’s name",
    Lack.ADDRESS: "its address",
    Lack.TELEPHONE: "its telephone number",
    Lack.EMAIL: "its email address",
    Lack.ROLLERS: "a roller",
    Lack.BENCH: "a bench, where a machine is checked before it goes on the rollers",
    Lack.HOURS: "opening hours on at least one weekday",
    Lack.ROLLER_PERSON: "somebody who works on the rollers, with hours",
    Lack.BENCH_PERSON: "somebody who works at the bench, with hours",
    Lack.SAME_DAY: "a weekday on which the garage is open and both bench and rollers have somebody",
    Lack.SESSION: "a roller session that can be booked online",
    Lack.PRICE: "a price for the roller session",
    Lack.LABOUR: "what an hour’s labour costs",
}


@dataclass(frozen=True)
class PageLine:
    """lacks: what is missing there, in words; empty once all of it is there."""

    page: BeginPage
    title: str
    lacks: tuple[str, ...]


@dataclass(frozen=True)
class SettingUpPage:
    """go_on: the first page on which something is missing. first_kind, first_at: what could be sold first, and when;
    None while something is missing, or if no time fits.
    """

    lines: tuple[PageLine, ...]
    go_on: BeginPage | None
    first_kind: VisitKind | None
    first_at: datetime | None


def setting_up_page(shop: Shop, *, now: datetime) -> SettingUpPage:
    lacks = () if shop.is_open else missing(shop)
    kind, at = (None if lacks else first_session(shop, now=now)) or (None, None)
    return SettingUpPage(_lines(lacks), first_lacking(lacks), kind, at)


def not_open_lines(shop: Shop | None) -> tuple[PageLine, ...]:
    """For the front page of a garage that is not open: what is missing. Empty for one without a boss."""
    return tuple(line for line in _lines(missing(shop)) if line.lacks) if shop else ()


def _lines(lacks: tuple[Lack, ...]) -> tuple[PageLine, ...]:
    return tuple(
        PageLine(page, title, tuple(WORDS[lack] for lack in lacks if lack.page == page))
        for page, title in TITLES.items()
    )
