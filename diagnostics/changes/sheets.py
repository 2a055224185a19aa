"""The check sheet as its owner fills it: begun with the first answer, saved after each one, sent when finished."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from diagnostics.changes import judgements, remarks
from diagnostics.changes.findings import put_down
from diagnostics.core.findings import UNSURE
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.core.rev_out_safety import TICKS_THAT_RULE_IT_OUT, first_to_ask
from diagnostics.models.sheets import Finding, Sheet
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import VisitCase, case_with_sheet
from diagnostics.reads.filled_sheet import FilledSheet
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.changes.people import attempts
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.core.text.languages import told
from garage.models.actors import OWNER
from garage.models.visits import Visit
from garage.reads.shop import the_shop

SENT = "sheet-sent"
MOST_SENT, SENT_WITHIN = 10, timedelta(days=1)  # of one visit: an owner who tests again sends it again; no source


@transaction.atomic
def answer(visit: Visit, *, question: str, given: Any, now: datetime, is_from_earlier: bool = False) -> FilledSheet:
    """Enters one answer by the owner and returns the sheet. For the rev-out page see answer_rev_out.

    is_from_earlier: the owner says that they found this before, and have not run the engine for the sheet. Nothing else
    is taken of a test that must not be done now.
    """
    _, filled = _opened(visit, now=now)
    if not filled.has_page_for(question):
        raise Refused(told("This is not asked of this machine."))
    if question == REV_OUT:
        _check_the_test_is_safe(filled)
    elif (why := filled.why_not_now(question)) and given not in (UNSURE, Finding.NOT_TRIED):
        if not is_from_earlier:
            raise Refused(
                told(
                    "Please do not do this test: {why} If you did it earlier, say what you found then.",
                    why=" ".join(why),
                )
            )
        trail.about_visit(filled.known.visit, f"finding {question}: found earlier, not tried now", by=OWNER, now=now)
    return _judged(_put_down(filled.known, question, given, now=now), now=now)


@transaction.atomic
def answer_rev_out(visit: Visit, *, given: Any, ticks: Collection[str], now: datetime) -> FilledSheet:
    """The rev-out page: all of its ticks, replacing the earlier ones, and the answer.

    If a tick rules the test out, the answer is ignored and the test is left to the bench. given is empty if only ticks
    were sent.
    """
    sheet, filled = _opened(visit, now=now)
    if not given and not ticks and not filled.ticks:
        raise BadInput(told("The list"), None, told("a tick, or one of the answers below"))
    if set(ticks) != set(filled.ticks):
        filled = _judged(remarks.tick(filled.known, sheet, ticks, by=OWNER, now=now), now=now)
    is_ruled_out = not set(ticks).isdisjoint(TICKS_THAT_RULE_IT_OUT)
    if given and not is_ruled_out:
        _check_the_test_is_safe(filled)
        return _judged(_put_down(filled.known, REV_OUT, given, now=now), now=now)
    if ticks and REV_OUT not in filled.findings:
        return _judged(_put_down(filled.known, REV_OUT, Finding.NOT_TRIED, now=now), now=now)
    return _judged(filled.known, now=now)


@transaction.atomic
def send(visit: Visit, *, now: datetime) -> Sheet:
    """The owner has finished, so the judgement acts. Answers can be changed and sent again until arrival."""
    sheet, filled = _opened(visit, now=now)
    if filled.must:
        raise Refused(told('One more thing before you send it: "{question}"', question=_asks(filled.must[0])))
    sheet.sent_at = now
    sheet.save(update_fields=["sent_at"])
    _count_it(filled.known.visit, now=now)
    trail.about_visit(filled.known.visit, "check sheet sent", by=OWNER, now=now)
    judgements.act_on_the_sheet(judgements.judge(filled.known, now=now), now=now)
    return sheet


def _count_it(visit: Visit, *, now: datetime) -> None:
    """Each sending can be a mail to its owner. The visit's lock keeps the count."""
    key = attempts.hashed(str(visit.pk))
    if not attempts.may_try(SENT, key=key, most=MOST_SENT, within=SENT_WITHIN, now=now):
        raise Refused(
            told(
                "It has been sent {count} times within a day: ring {telephone}. All answers are kept.",
                count=MOST_SENT,
                telephone=the_shop().telephone,
            )
        )
    attempts.tried(SENT, key=key, now=now)


def _opened(visit: Visit, *, now: datetime) -> tuple[Sheet, FilledSheet]:
    """The locked sheet of the visit, created with its first answer."""
    visit = visit_for_change(visit)
    if visit.state not in states.COMING:
        raise Refused(
            told("Your machine is with us or the visit is over, so the sheet is closed: tell us by telephone.")
        )
    sheet, is_new = Sheet.objects.get_or_create(visit=visit, defaults={"begun_at": now})
    if is_new:
        trail.about_visit(visit, "check sheet begun", by=OWNER, now=now)
    return sheet, FilledSheet(case_with_sheet(visit, sheet))


def _put_down(known: VisitCase, question: str, given: Any, *, now: datetime) -> VisitCase:
    return put_down(known, question=question, answer=given, source=Finding.OWNER, by=OWNER, now=now)


def _judged(known: VisitCase, *, now: datetime) -> FilledSheet:
    judgements.judge(known, now=now)
    return FilledSheet(known)


def _check_the_test_is_safe(filled: FilledSheet) -> None:
    before = first_to_ask(filled.findings)
    if before:
        raise Refused(told('Before the rev-out, please answer: "{question}"', question=_asks(before)))
    if filled.why_not:
        raise Refused(told("Please do not do this test: {why} It comes to the bench.", why=" ".join(filled.why_not)))


def _asks(question_id: str) -> str:
    return told(the_bank().question(question_id).ask)
