"""Fix first, by personal link: what the owner may choose, what it costs, and what is worth trying at home."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from diagnostics.core.asking.home_tests import home_tests, likely_faults
from diagnostics.core.bank.bank import Question
from diagnostics.core.guides.guide import Guide
from diagnostics.core.guides.guides import guides_for_question, guides_for_route
from diagnostics.core.telling.bank_told import told_question
from diagnostics.core.telling.bench_cost_words import bench_cost_words
from diagnostics.core.telling.owner_words import cautions_for_the_owner, what_pointed
from diagnostics.reads.bank import the_bank
from diagnostics.reads.bench_cost import bench_cost_of
from diagnostics.reads.filled_sheet import filled_sheet
from diagnostics.reads.guides import allowed
from diagnostics.reads.judgement import latest
from garage.core.errors import Refused
from garage.core.selling.owner_choice import (
    ChoiceFacts,
    check_may_fix_it,
    check_may_leave_it,
    check_may_take_time,
)
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.output.addresses import sheet_address
from garage.reads import links
from garage.reads.owner_choice import choice_facts_of


@dataclass(frozen=True)
class ChoicePage:
    """why_not_fix, why_not_leave: in a sentence; empty if the owner may. cost: of the bench work, in words.

    pointed: the owner's own answers that speak for it.
    """

    visit: Visit
    is_open: bool
    why_not_fix: str
    why_not_leave: str
    cost: str
    pointed: tuple[str, ...]


@dataclass(frozen=True)
class HomeTest:
    """A question whose test can be tried at home, and the guides that teach it."""

    question: Question
    guides: tuple[Guide, ...]


@dataclass(frozen=True)
class GuidePage:
    """faults: what it may be, likeliest first. tests: what can be tried at home. guides: those for its route.
    why_no_time: empty if a time may be picked.
    """

    visit: Visit
    faults: tuple[str, ...]
    tests: tuple[HomeTest, ...]
    cautions: tuple[str, ...]
    guides: tuple[Guide, ...]
    sheet_url: str
    why_no_time: str


def choice_page(visit: Visit, shop: Shop) -> ChoicePage:
    facts, kept = choice_facts_of(visit, shop), latest(visit)
    return ChoicePage(
        visit=visit,
        is_open=facts.is_open,
        why_not_fix=_why_not(check_may_fix_it, facts, shop),
        why_not_leave=_why_not(check_may_leave_it, facts, shop),
        cost=bench_cost_words(bench_cost_of(visit, kept.judgement, shop)) if kept else "",
        pointed=tuple(what_pointed(the_bank(), kept.judgement)) if kept else (),
    )


def guide_page(visit: Visit, shop: Shop) -> GuidePage:
    bank, kept, filled = the_bank(), latest(visit), filled_sheet(visit)
    chances, why_not = kept.judgement.chances if kept else {}, filled.why_not
    return GuidePage(
        visit=visit,
        faults=likely_faults(bank, chances),
        tests=tuple(
            HomeTest(told_question(question), allowed(guides_for_question(question.id), why_no_rev_out=why_not))
            for question in home_tests(filled.asked, chances)
        ),
        cautions=tuple(cautions_for_the_owner(kept.judgement)) if kept else (),
        guides=allowed(guides_for_route(kept.route), why_no_rev_out=why_not) if kept else (),
        sheet_url=sheet_address(links.token(visit, links.SHEET)),
        why_no_time=why_no_new_time(visit, shop),
    )


def why_no_new_time(visit: Visit, shop: Shop) -> str:
    """Why its owner picks no new time, in a sentence. Empty if one may be picked."""
    return _why_not(check_may_take_time, choice_facts_of(visit, shop), shop)


def _why_not(check: Callable[[ChoiceFacts, str], None], facts: ChoiceFacts, shop: Shop) -> str:
    try:
        check(facts, shop.telephone)
    except Refused as refused:
        return refused.sentence
    return ""
