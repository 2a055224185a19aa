"""What the owner ticked beside the questions: told on the sheet or by telephone, and put right by the workshop."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import datetime

from django.db import transaction

from diagnostics.changes import judgements
from diagnostics.core.remarks import REMARKS
from diagnostics.core.rev_out_safety import REMARK_OF, TICKS
from diagnostics.core.telling.remark_words import remark_words
from diagnostics.core.way_back import check_words
from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.sheets import RemarkPutRight, Sheet
from diagnostics.reads.case import VisitCase, standing_ticks, visit_case
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.changes.visit.remarks import now_stand
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.actors import Actor
from garage.models.people import Person
from garage.models.visits import Visit

TICK_OF = {remark: tick for tick, remark in REMARK_OF.items()}


def tick(known: VisitCase, sheet: Sheet, ticks: Collection[str], *, by: Actor, now: datetime) -> VisitCase:
    """All ticks that stand, replacing the earlier ones, without judging again. What was put right keeps its tick beside
    the workshop's word; ticked again, it stands again. Inside a change only.
    """
    put_right_before = {name for name in Sheet.TICKS if getattr(sheet, name)} - set(known.ticks)
    again = [REMARK_OF[name] for name in put_right_before if name in ticks]
    if again:
        RemarkPutRight.objects.filter(visit=known.visit, remark__in=again).delete()
    for name in Sheet.TICKS:
        setattr(sheet, name, name in ticks or name in put_right_before)
    sheet.save(update_fields=list(Sheet.TICKS))
    return _standing_now(replace(known, sheet=sheet), by=by, now=now)


def tell(known: VisitCase, *, remark: str, by: Person, now: datetime) -> VisitCase:
    """The owner says so by telephone. It is ticked on the sheet for them, which begins with it.

    Inside a change only.
    """
    if remark not in REMARKS:
        raise BadInput("The remark", remark, "one of the list")
    sheet, _ = Sheet.objects.get_or_create(visit=known.visit, defaults={"begun_at": now})
    trail.about_visit(known.visit, f"told by telephone: {remark_words(remark).lower()}", by=by, now=now)
    return tick(known, sheet, {*known.ticks, TICK_OF[remark]}, by=by, now=now)


@transaction.atomic
def told_by_telephone(visit: Visit, *, remark: str, by: Person, now: datetime) -> KeptJudgement:
    """As `tell`, and the visit is judged again."""
    return judgements.judge(tell(_open(visit), remark=remark, by=by, now=now), now=now)


@transaction.atomic
def put_right(visit: Visit, *, remark: str, words: str, by: Person, now: datetime) -> KeptJudgement:
    """The workshop has found it and put it right, and says how. The visit is judged again without the remark."""
    known, words = _open(visit), words.strip()
    if TICK_OF.get(remark) not in known.ticks:
        raise Refused("That no longer stands: look at the page again.")
    check_words(words)
    RemarkPutRight.objects.create(visit=known.visit, remark=remark, words=words, by=by, at=now)
    trail.about_visit(known.visit, f"{remark_words(remark).lower()}: put right, {words}", by=by, now=now)
    return judgements.judge(_standing_now(known, by=by, now=now), now=now)


def _open(visit: Visit) -> VisitCase:
    visit = visit_for_change(visit)
    if visit.state in states.OVER:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: nothing can be written down any more.")
    return visit_case(visit)


def _standing_now(known: VisitCase, *, by: Actor, now: datetime) -> VisitCase:
    """Take-in, card and gate are told in plain words."""
    ticks = standing_ticks(known.visit, known.sheet)
    now_stand(known.visit, remarks=[TICKS[name] for name in ticks], by=by, now=now)
    return replace(known, ticks=ticks)
