"""The owner puts the machine right at home: how it revs out is asked again before it has a new time."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.models.sheets import Finding, Sheet
from diagnostics.reads.guides import guides_to_try, mailed
from garage.changes.visit import owner_choices
from garage.models.actors import Actor
from garage.models.visits import Visit


@transaction.atomic
def fix_it_yourself(visit: Visit, *, by: Actor, now: datetime) -> Visit:
    """Its time is given back and its check sheet is open again, without the rev-out. by: the owner by the link, or a
    person who rang.
    """
    guides = mailed(guides_to_try(visit))
    visit = owner_choices.fix_it_yourself(visit, guides=guides, by=by, now=now)
    Finding.objects.filter(visit=visit, question=REV_OUT, is_standing=True).update(is_standing=False)
    Sheet.objects.filter(visit=visit).update(sent_at=None)
    return visit
