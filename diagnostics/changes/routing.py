"""Sends a visit along a route: what it does to the slot, and the mail that tells its owner. Inside a change only."""

from __future__ import annotations

import math

from diagnostics.core.judging.cautions import STOPPED
from diagnostics.core.judging.judgement_words import outcome, reasons_for_the_workshop, to_ask_words, what_pointed
from diagnostics.models.judgements import Judgement
from diagnostics.models.sheets import Finding
from diagnostics.pages.outcome import standing_of
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import standing
from garage.changes import messages, notices
from garage.changes import routes as slot
from garage.core import routes
from garage.models.actors import Actor
from garage.models.shop import ROLLER
from garage.models.visits import Visit
from garage.output.post import Enclosed
from garage.reads.shop import the_shop

PIECE_MINUTES = 5  # bench time is planned in whole pieces of the day
GIVES_BACK = frozenset({routes.FIX_FIRST, routes.DO_NOT_RUN})
LEAST_BENCH_MINUTES = 15  # fetching it in and looking; common practice, no source
MAILS = {
    routes.ROLLER_READY: "sheet_outcome_ready",
    routes.FIX_FIRST: "sheet_outcome_fix_first",
    routes.PHONE_FIRST: "sheet_outcome_phone_first",
    routes.DO_NOT_RUN: "sheet_outcome_do_not_run",
}


def asks_first(visit: Visit, route: str) -> bool:
    """Whether the boss is asked before the sheet acts: as the shop says of the route, and at each change of route."""
    if visit.route and visit.route != route:
        return True
    shop = the_shop()
    alone = {
        routes.ROLLER_READY: True,
        routes.FIX_FIRST: shop.fix_first_acts_alone,
        routes.PHONE_FIRST: shop.phone_first_acts_alone,
        routes.DO_NOT_RUN: shop.do_not_run_acts_alone,
    }
    return not alone[route]


def go(visit: Visit, judgement: Judgement, *, route: str, by: Actor) -> None:
    """Routes the visit and writes to its owner; a route that stands already is only brought up to date."""
    is_news = visit.route != route or bool(visit.route_asked)
    told = reasons(judgement)
    loses_its_time = route in GIVES_BACK and visit.at == ROLLER and is_news
    taken_out = notices.taken_out_of_the_diary(visit) if loses_its_time else None
    if route == routes.ROLLER_READY:
        visit = slot.roller_ready(visit, reasons=told, ready_chance=ready_chance(judgement), by=by)
    elif route == routes.PHONE_FIRST:
        visit = slot.ring(visit, reasons=told, to_ask=to_ask(visit, judgement), by=by)
    elif route == routes.FIX_FIRST:
        minutes = bench_minutes(judgement)
        visit = slot.fix_first(visit, reasons=told, ready_chance=ready_chance(judgement), bench_minutes=minutes, by=by)
    else:
        visit = slot.do_not_run(visit, reasons=told, bench_minutes=bench_minutes(judgement), by=by)
    if is_news:
        tell_the_owner(visit, judgement, route=route, is_decided=True, taken_out=taken_out)


def warn_if_it_must_not_run(visit: Visit, judgement: Judgement) -> None:
    """Safety is not asked about: the warning goes out while the boss still decides about the time."""
    if judgement.route == routes.DO_NOT_RUN:
        tell_the_owner(visit, judgement, route=routes.DO_NOT_RUN, is_decided=False)


def tell_the_owner(
    visit: Visit, judgement: Judgement, *, route: str, is_decided: bool, taken_out: Enclosed | None = None
) -> None:
    """taken_out: the file that takes the time given back out of the owner's own diary."""
    result = {**judgement.result, "route": route}
    told = outcome(result, standing_of(visit, is_decided=is_decided))
    pointed = what_pointed(the_bank(), result) if route == judgement.route else []
    cautions = [line for line in judgement.result["cautions"] if line != STOPPED]  # said at the top of its own mail
    context = {"outcome": told, "pointed": pointed, "cautions": cautions}
    enclosures = [taken_out] if taken_out else []
    messages.write(MAILS[route], to=visit.owner.email, visit=visit, context=context, enclosures=enclosures)


def reasons(judgement: Judgement) -> list[str]:
    return reasons_for_the_workshop(the_bank(), judgement.result)


def ready_chance(judgement: Judgement) -> float:
    return float(judgement.result["also"]["ready_chance"])


def bench_minutes(judgement: Judgement) -> int:
    """Expected on the bench, in whole pieces."""
    expected = math.ceil(judgement.result["expected_bench_minutes"] / PIECE_MINUTES) * PIECE_MINUTES
    return max(expected, LEAST_BENCH_MINUTES)


def to_ask(visit: Visit, judgement: Judgement) -> list[str]:
    open_answers = ("unsure", Finding.NOT_TRIED)
    left_open = [question for question, row in standing(visit).items() if row.answer in open_answers]
    merely_rich = "offer a set-up" in judgement.result["why"]
    first = "Offer a set-up instead of the power run: it runs rich and revs out." if merely_rich else ""
    return to_ask_words(the_bank(), judgement.result, left_open, first=first)
