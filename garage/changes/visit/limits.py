"""What an owner has agreed to spend on bench work without being asked again."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from garage.changes import trail
from garage.changes.day import locks
from garage.core import states
from garage.core.currencies import in_units
from garage.core.errors import BadInput, Refused
from garage.core.money import short_pounds_words
from garage.core.text.languages import in_english, told
from garage.models.actors import Actor
from garage.models.visits import Visit

MOST_POUNDS = 10_000  # anything more is a typing mistake


@transaction.atomic
def agree_bench_limit(visit: Visit, *, pounds: int, by: Actor, now: datetime) -> Visit:
    """pounds: 0 asks the owner before anything is done."""
    visit = locks.visit_for_change(visit)
    if visit.state in states.OVER:
        told_of = {"number": visit.number, "state": visit.state_words}
        raise Refused(told("Visit {number} is {state}: there is no more bench work to agree on.", **told_of))
    if not 0 <= pounds <= MOST_POUNDS:
        raise BadInput(in_units("Up to, in whole {units}"), pounds, f"0 to {MOST_POUNDS}")
    visit.bench_limit_pounds = pounds
    visit.save(update_fields=["bench_limit_pounds"])
    limit = in_english(short_pounds_words, Decimal(pounds))
    trail.about_visit(
        visit,
        f"the owner agrees to bench work up to {limit} without being asked again",
        by=by,
        now=now,
    )
    return visit
