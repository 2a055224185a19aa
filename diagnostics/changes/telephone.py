"""What an owner answers when the desk asks for the engine's sake while it books."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from diagnostics.changes import judgements, remarks
from diagnostics.changes.findings import put_down
from diagnostics.core.remarks import LEAKS_PETROL
from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.sheets import Finding
from diagnostics.reads.case import visit_case
from garage.changes.day.locks import visit_for_change
from garage.core.routes import DO_NOT_RUN
from garage.core.selling.draft import ToldOfSafety
from garage.models.people import Person
from garage.models.visits import Visit


@transaction.atomic
def told_while_booking(visit: Visit, *, told: ToldOfSafety, by: Person, now: datetime) -> KeptJudgement:
    """Findings and a remark by the owner, judged at once. What stops the machine acts as a finished sheet does: safety
    does not wait for the sheet. Anything else waits for it.
    """
    known = visit_case(visit_for_change(visit))
    for question, answer in (("nipped", told.nipped), ("pinking", told.pinking)):
        if answer:
            known = put_down(known, question=question, answer=answer, source=Finding.OWNER, by=by, now=now)
    if told.leaks == "yes":
        known = remarks.tell(known, remark=LEAKS_PETROL, by=by, now=now)
    kept = judgements.judge(known, now=now)
    return judgements.act_on_the_sheet(kept, now=now) if kept.route == DO_NOT_RUN else kept
