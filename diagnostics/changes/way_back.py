"""The workshop answers a finding again: it did, and it is put right. The visit is judged without it."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from diagnostics.changes import judgements
from diagnostics.core.way_back import check_put_right
from diagnostics.models.put_right import PutRight
from diagnostics.reads.case import VisitCase, answer_words, visit_case
from diagnostics.reads.causes import has_a_cause
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core import states
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.visits import Visit


@transaction.atomic
def found_and_put_right(visit: Visit, *, question: str, words: str, by: Person, now: datetime) -> PutRight:
    """Needs a cause on the card. The owner's own answer stays beside it."""
    known, words = _known(visit), words.strip()
    stops = judgements.judge(known, now=now).judgement.stopping_questions
    check_put_right(question, words, stops=stops, has_cause=has_a_cause(known.visit))
    finding = known.findings[question]
    PutRight.objects.filter(visit=known.visit, question=question, withdrawn_at=None).update(withdrawn_at=now)
    row = PutRight.objects.create(
        visit=known.visit, question=question, answer=finding.answer, words=words, at=now, by=by
    )
    said = answer_words(question, finding.answer)
    trail.about_visit(known.visit, f"finding {question}: {said}; found and put right: {words}", by=by, now=now)
    judgements.judge_again(known.visit, now=now)
    return row


@transaction.atomic
def not_put_right(visit: Visit, *, question: str, by: Person, now: datetime) -> None:
    """It was said too early: the finding counts again."""
    known = _known(visit)
    row = known.put_right.get(question)
    if row is None:
        raise Refused("This finding is not down as put right.")
    row.withdrawn_at = now
    row.save(update_fields=["withdrawn_at"])
    trail.about_visit(known.visit, f"finding {question}: not put right after all", by=by, now=now)
    judgements.judge_again(known.visit, now=now)


def _known(visit: Visit) -> VisitCase:
    known = visit_case(visit_for_change(visit))
    if why := states.why_not_here(known.visit.number, known.visit.state):
        raise Refused(why)
    return known
