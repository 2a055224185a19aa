"""What the owner is told of a judgement, and how the visit stands while it is told."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.core.judging.cautions import STOPPED
from diagnostics.core.judging.judgement_words import Outcome, Standing, outcome, what_pointed
from diagnostics.hearing.pages.owner_clip import rev_out_of
from diagnostics.models.judgements import Judgement
from diagnostics.models.sheets import Sheet
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import sheet_of
from diagnostics.reads.judgement import latest, latest_acted
from garage.core import money, routes
from garage.models.shop import ROLLER
from garage.models.visits import Visit


@dataclass(frozen=True)
class OutcomePage:
    """is_newer: answers have been changed since the sheet was sent."""

    visit: Visit
    sheet: Sheet
    route: str
    outcome: Outcome
    pointed: tuple[str, ...]
    cautions: tuple[str, ...]
    is_newer: bool
    asks_for_clip: bool


def standing_of(visit: Visit, *, is_decided: bool) -> Standing:
    return Standing(
        is_roller_visit=visit.kind.at == ROLLER,
        is_decided=is_decided,
        has_time=visit.starts_at is not None,
        deposit_words=money.in_words(visit.deposit_paid) if visit.deposit_paid else "",
    )


def outcome_page(visit: Visit) -> OutcomePage | None:
    """None before the sheet is sent. A route taken by a person's word is told as that route."""
    sheet, judgement = sheet_of(visit), latest(visit)
    if sheet is None or sheet.sent_at is None or judgement is None:
        return None
    is_decided = not visit.route_asked
    route = _told_route(visit, judgement, is_decided)
    result = {**judgement.result, "route": route}
    return OutcomePage(
        visit=visit,
        sheet=sheet,
        route=route,
        outcome=outcome(result, standing_of(visit, is_decided=is_decided)),
        pointed=tuple(what_pointed(the_bank(), result)) if route == judgement.route else (),
        cautions=tuple(line for line in judgement.result["cautions"] if line != STOPPED),  # said at the top
        is_newer=visit.findings.filter(at__gt=sheet.sent_at).exists(),
        asks_for_clip=route != routes.DO_NOT_RUN and rev_out_of(visit).may_be_asked,
    )


def _told_route(visit: Visit, judgement: Judgement, is_decided: bool) -> str:
    """Do not run is told whatever else was decided; else the decided route; else the judged one."""
    if judgement.route == routes.DO_NOT_RUN or not is_decided:
        return judgement.route
    acted = latest_acted(visit)
    return visit.route or (acted.route if acted and acted.route else judgement.route)
