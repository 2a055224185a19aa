"""Sends a visit along a route: its effect on the slot, and the email to its owner. Inside a change only."""

from __future__ import annotations

from datetime import datetime

from diagnostics.changes import bench_left
from diagnostics.core.guides.guides import guides_for_mail
from diagnostics.core.judging.judgement import Judgement
from diagnostics.core.telling.bench_cost_words import bench_cost_words
from diagnostics.core.telling.judgement_words import reasons_for_the_workshop
from diagnostics.core.telling.owner_words import Outcome, cautions_for_the_owner, outcome, to_ask_words, what_pointed
from diagnostics.models.sheets import Finding
from diagnostics.reads.bank import the_bank
from diagnostics.reads.bench_cost import bench_cost_of, bench_time_of
from diagnostics.reads.case import standing
from diagnostics.reads.guides import allowed, mailed
from diagnostics.reads.judgement import how_it_stands
from diagnostics.reads.rev_out import rev_out_of
from garage.changes.day import bench_spread, routes
from garage.changes.mail import messages, notices
from garage.core import states
from garage.core.currencies import in_currency
from garage.core.routes import DO_NOT_RUN, FIX_FIRST, PHONE_FIRST, ROLLER_READY, TO_FIX
from garage.core.selling.owner_choice import MYSELF
from garage.models.actors import Actor
from garage.models.shop import ROLLER, Shop
from garage.models.visits import Visit
from garage.output.post import Enclosed
from garage.output.speaking import speaking
from garage.reads.shop import the_shop

MAILS = {
    ROLLER_READY: "sheet_outcome_ready",
    FIX_FIRST: "sheet_outcome_fix_first",
    PHONE_FIRST: "sheet_outcome_phone_first",
    DO_NOT_RUN: "sheet_outcome_do_not_run",
}


def asks_first(visit: Visit, route: str) -> bool:
    """Whether the boss is asked before the sheet acts: always if the route changes, otherwise as set in the shop.

    What its owner has put right at home and tested again goes its way alone: it has no time, and the gate comes first.
    """
    if visit.route and visit.route != route:
        return not (route == ROLLER_READY and visit.choice == MYSELF and visit.starts_at is None)
    shop = the_shop()
    alone = {
        ROLLER_READY: True,
        FIX_FIRST: shop.fix_first_acts_alone,
        PHONE_FIRST: shop.phone_first_acts_alone,
        DO_NOT_RUN: shop.do_not_run_acts_alone,
    }
    return not alone[route]


def go(visit: Visit, judgement: Judgement, *, route: str, by: Actor, now: datetime) -> None:
    """Routes the visit and writes to its owner. If it is already on that route, it is only brought up to date. Who was
    warned while the boss was asked is written to again only if the time is another one now.
    """
    is_news = visit.route != route or bool(visit.route_asked)
    is_warned = route == visit.route_asked == DO_NOT_RUN
    warned = _outcome(visit, judgement, route=route, is_decided=False) if is_warned else None
    why, ready_chance = reasons(judgement), judgement.ready_chance
    bench = bench_time_of(judgement)
    is_asked = route == FIX_FIRST and may_choose(visit, the_shop())
    loses_its_time = route in TO_FIX and visit.at == ROLLER and is_news and not is_asked
    taken_out = notices.taken_out_of_the_diary(visit, the_shop(), now=now) if loses_its_time else None
    if route == ROLLER_READY:
        visit = routes.roller_ready(visit, reasons=why, ready_chance=ready_chance, by=by, now=now)
    elif route == PHONE_FIRST:
        visit = routes.ring(visit, reasons=why, to_ask=to_ask(visit, judgement), by=by, now=now)
    elif route == FIX_FIRST:
        sent = routes.ask_the_owner if is_asked else routes.fix_first
        visit = sent(visit, reasons=why, ready_chance=ready_chance, bench_minutes=bench.planned, by=by, now=now)
    else:
        visit = routes.do_not_run(visit, reasons=why, bench_minutes=bench.planned, by=by, now=now)
    if route in TO_FIX:
        bench_spread.put_down(visit, low_min=bench.low, high_min=bench.high)
        bench_left.tell(visit)
    if is_news and _outcome(visit, judgement, route=route, is_decided=True) != warned:
        tell_the_owner(visit, judgement, route=route, is_decided=True, taken_out=taken_out, now=now)


def may_choose(visit: Visit, shop: Shop) -> bool:
    """Whether its owner says what happens to it before its time on the rollers is given back."""
    return bool(shop.choose_hours) and visit.at == ROLLER and visit.state in states.COMING


def warn_if_it_must_not_run(visit: Visit, judgement: Judgement, *, now: datetime) -> None:
    """Safety does not wait: the warning goes out while the boss still decides about the time."""
    if judgement.route == DO_NOT_RUN:
        tell_the_owner(visit, judgement, route=DO_NOT_RUN, is_decided=False, now=now)


def tell_the_owner(
    visit: Visit,
    judgement: Judgement,
    *,
    route: str,
    is_decided: bool,
    taken_out: Enclosed | None = None,
    now: datetime,
) -> None:
    """taken_out: the calendar file that cancels the lost time in the owner's own diary."""
    shop = the_shop()
    with speaking(visit.owner.language), in_currency(shop.currency, shop.tax_name):
        context = {
            "outcome": _outcome(visit, judgement, route=route, is_decided=is_decided),
            "pointed": what_pointed(the_bank(), judgement) if route == judgement.route else [],
            "cautions": cautions_for_the_owner(judgement),
            "guides": _guides_for(visit, MAILS[route]),
            "cost": bench_cost_words(bench_cost_of(visit, judgement, shop)) if route in TO_FIX else "",
        }
    enclosures = [taken_out] if taken_out else []
    messages.write(
        MAILS[route],
        to=visit.owner.email,
        visit=visit,
        shop=shop,
        context=context,
        enclosures=enclosures,
        now=now,
    )


def _outcome(visit: Visit, judgement: Judgement, *, route: str, is_decided: bool) -> Outcome:
    return outcome(judgement, how_it_stands(visit, the_shop(), is_decided=is_decided), route=route)


def _guides_for(visit: Visit, mail: str) -> list[tuple[str, str]]:
    return mailed(allowed(guides_for_mail(mail), why_no_rev_out=rev_out_of(visit).why_not))


def reasons(judgement: Judgement) -> list[str]:
    return reasons_for_the_workshop(the_bank(), judgement)


def to_ask(visit: Visit, judgement: Judgement) -> list[str]:
    open_answers = ("unsure", Finding.NOT_TRIED)
    left_open = [question for question, row in standing(visit).items() if row.answer in open_answers]
    return to_ask_words(the_bank(), judgement, left_open)
