"""The outcome of the sheet as its owner reads it."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import mark_safe

from diagnostics.core.guides.drawn.engine import PLACES, engine
from diagnostics.core.guides.guide import Guide
from diagnostics.core.guides.guides import guides_for_route
from diagnostics.core.telling.bench_cost_words import bench_cost_words
from diagnostics.core.telling.fault_places import marked_places
from diagnostics.core.telling.owner_words import Outcome, cautions_for_the_owner, outcome, what_pointed
from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.sheets import Sheet
from diagnostics.reads.bank import the_bank
from diagnostics.reads.bench_cost import bench_cost_of
from diagnostics.reads.case import sheet_of
from diagnostics.reads.guides import allowed
from diagnostics.reads.judgement import how_it_stands, latest, latest_acted
from diagnostics.reads.rev_out import rev_out_of
from garage.core import routes
from garage.core.text.languages import told
from garage.models.shop import Shop
from garage.models.visits import Visit


@dataclass(frozen=True)
class OutcomePage:
    """cost: of the bench work, in words; empty if none is due. is_newer: answers have changed since it was sent."""

    visit: Visit
    sheet: Sheet
    route: str
    outcome: Outcome
    cost: str
    pointed: tuple[str, ...]
    drawing: str  # the engine with its places marked, as SVG; empty if none is
    places: tuple[str, ...]  # their names, in the order of their numbers
    cautions: tuple[str, ...]
    is_newer: bool
    asks_for_clip: bool
    guides: tuple[Guide, ...]


def outcome_page(visit: Visit, shop: Shop) -> OutcomePage | None:
    """None until the sheet is sent. A route chosen by a person is shown as that route."""
    sheet, kept = sheet_of(visit), latest(visit)
    if sheet is None or sheet.sent_at is None or kept is None:
        return None
    is_decided, judgement = not visit.route_asked, kept.judgement
    bank = the_bank()
    route, rev_out = _told_route(visit, kept, is_decided), rev_out_of(visit)
    marked = marked_places(bank, judgement, route=route)
    return OutcomePage(
        visit=visit,
        sheet=sheet,
        route=route,
        outcome=outcome(judgement, how_it_stands(visit, shop, is_decided=is_decided), route=route),
        cost=bench_cost_words(bench_cost_of(visit, judgement, shop)) if route in routes.TO_FIX else "",
        pointed=tuple(what_pointed(bank, judgement)) if route == judgement.route else (),
        drawing=mark_safe(engine(marked).svg()) if marked else "",  # noqa: S308  # the pen escapes its words
        places=tuple(told(PLACES[place].name) for place in marked),
        cautions=tuple(cautions_for_the_owner(judgement)),
        is_newer=visit.findings.filter(at__gt=sheet.sent_at).exists(),
        asks_for_clip=rev_out.may_be_asked,
        guides=allowed(guides_for_route(route), why_no_rev_out=rev_out.why_not),
    )


def _told_route(visit: Visit, kept: KeptJudgement, is_decided: bool) -> str:
    """Do not run is shown whatever else was decided; then the decided route; then the judged one."""
    if kept.route == routes.DO_NOT_RUN or not is_decided:
        return kept.route
    acted = latest_acted(visit)
    return visit.route or (acted.route if acted and acted.route else kept.route)
