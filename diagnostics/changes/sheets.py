"""The check sheet as its owner fills it: begun with the first answer, saved at each, sent when finished."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django.db import transaction
from django.utils import timezone

from diagnostics.changes import judgements
from diagnostics.changes.findings import put_down
from diagnostics.core.findings import read_case
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.core.rev_out_safety import TICKS, first_to_ask, why_not
from diagnostics.models.sheets import Finding, Sheet
from diagnostics.pages.sheet import must_be_done
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import standing, ticks_of, values_from
from garage.changes import remarks, trail
from garage.changes.locks import visit_for_change
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.actors import OWNER
from garage.models.visits import Visit


@transaction.atomic
def begin(visit: Visit) -> Sheet:
    """The sheet of the visit, there from its first answer on."""
    visit = visit_for_change(visit)
    if visit.state not in states.COMING:
        raise Refused("Your machine is with us or the visit is over, so the sheet is closed: tell us by telephone.")
    sheet, is_new = Sheet.objects.get_or_create(visit=visit, defaults={"begun_at": timezone.now()})
    if is_new:
        trail.about_visit(visit, "check sheet begun", by=OWNER)
    return sheet


@transaction.atomic
def answer(visit: Visit, *, question: str, given: Any) -> Finding:
    """One answer of the owner. The rev-out's page asks more: its answers come by answer_rev_out."""
    sheet = begin(visit)
    visit = visit_for_change(visit)
    if question == REV_OUT:
        _check_the_test_is_safe(visit, sheet)
    finding = put_down(visit, question=question, answer=given, source=Finding.OWNER, by=None)
    judgements.judge_again(visit)
    return finding


@transaction.atomic
def answer_rev_out(visit: Visit, *, given: Any, ticks: Collection[str]) -> Sheet:
    """The rev-out page: its ticks, all of them anew, and the answer. With a tick the test is not done and the answer
    not taken: it comes to the bench. given is empty where only the ticks are meant.
    """
    sheet = begin(visit)
    visit = visit_for_change(visit)
    if not given and not ticks and not ticks_of(sheet):
        raise BadInput("The list", None, "a tick at what holds, or one of the answers below it")
    if set(ticks) != set(ticks_of(sheet)):
        _keep_ticks(visit, sheet, ticks)
    if ticks and REV_OUT not in standing(visit):
        put_down(visit, question=REV_OUT, answer=Finding.NOT_TRIED, source=Finding.OWNER, by=None)
    elif given and not ticks:
        _check_the_test_is_safe(visit, sheet)
        put_down(visit, question=REV_OUT, answer=given, source=Finding.OWNER, by=None)
    judgements.judge_again(visit)
    return sheet


def _keep_ticks(visit: Visit, sheet: Sheet, ticks: Collection[str]) -> None:
    for name in Sheet.TICKS:
        setattr(sheet, name, name in ticks)
    sheet.save(update_fields=list(Sheet.TICKS))
    remarks.owner_said(visit, remarks=[TICKS[name] for name in Sheet.TICKS if name in ticks])


@transaction.atomic
def send(visit: Visit) -> Sheet:
    """The owner says: finished. The judgement acts. Answers stay changeable until arrival; then it is sent again."""
    sheet = begin(visit)
    visit = visit_for_change(visit)
    open_questions = must_be_done(visit)
    if open_questions:
        raise Refused(f'Before it is sent, one thing more: "{the_bank().question(open_questions[0]).ask}"')
    sheet.sent_at = timezone.now()
    sheet.save(update_fields=["sent_at"])
    trail.about_visit(visit, "check sheet sent", by=OWNER)
    judgement = judgements.judge_again(visit)
    judgements.act_on_the_sheet(judgement)
    return sheet


def _check_the_test_is_safe(visit: Visit, sheet: Sheet) -> None:
    findings, ticks = standing(visit), ticks_of(sheet)
    before = first_to_ask(findings)
    if before:
        raise Refused(f'Before the rev-out, please answer: "{the_bank().question(before).ask}"')
    reasons = why_not(read_case(the_bank(), values_from(visit, sheet, findings)), ticks)
    if reasons:
        raise Refused(f"Please do not do this test: {' '.join(reasons)} It comes to the bench.")
