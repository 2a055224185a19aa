"""A card is closed with a cause or "nothing wrong", and reopened by the boss."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from types import MappingProxyType

from django.db import transaction

from diagnostics.changes import learning, returning
from diagnostics.models.returning import ReturningVisit
from diagnostics.reads.causes import has_a_cause
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.changes.visit import fitted
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.shop import PLACE_WORDS
from garage.models.visits import Visit
from jobs.changes import cards, consents, labour
from jobs.core.closing import ToClose, why_not_close
from jobs.models.cards import Card, CardLine
from jobs.reads.access import invoice_of
from jobs.reads.closing import has_begun

SAY_WHETHER = "This visit is a come-back: say whether it was the same trouble again."
LONGEST_REASON = 200  # characters
NONE_RUNNING: Mapping[int, int] = MappingProxyType({})


@transaction.atomic
def close_with_causes(
    visit: Visit,
    *,
    worked_min: Mapping[int, int] = NONE_RUNNING,
    was_it_again: bool | None = None,
    by: Person,
    now: datetime,
) -> Card:
    """worked_min: for each clock still running on the card, by its id, the minutes worked.

    was_it_again: of a come-back, the trouble of the earlier visit; None of any other.
    """
    back = returning.earlier_locked(visit)
    card = _closed(_closable(visit, worked_min, by, nothing_wrong=False, now=now), by, nothing_wrong=False, now=now)
    _answered(back, was_it_again, by=by, now=now)
    return card


@transaction.atomic
def close_with_nothing_wrong(
    visit: Visit,
    *,
    worked_min: Mapping[int, int] = NONE_RUNNING,
    was_it_again: bool | None = None,
    by: Person,
    now: datetime,
) -> Card:
    back = returning.earlier_locked(visit)
    card = _closed(_closable(visit, worked_min, by, nothing_wrong=True, now=now), by, nothing_wrong=True, now=now)
    _answered(back, was_it_again, by=by, now=now)
    return card


def _answered(back: ReturningVisit | None, was_it_again: bool | None, *, by: Person, now: datetime) -> None:
    if back is None:
        return
    if was_it_again is None:
        raise Refused(SAY_WHETHER)
    returning.answered(back, was_it_again=was_it_again, by=by, now=now)


@transaction.atomic
def reopen(visit: Visit, *, reason: str, by: Person, now: datetime) -> Card:
    """The boss goes on with a closed card. Until it is closed again, nothing is learned from it.

    Once invoiced it stays closed: the invoice says what was done.
    """
    visit, reason = visit_for_change(visit), reason.strip()
    card = Card.objects.filter(visit=visit).exclude(closed_at=None).first()
    if card is None:
        raise Refused(f"The card of visit {visit.number} is not closed.")
    if not by.is_boss:
        raise Refused("Only the boss can reopen a closed card.")
    if issued := invoice_of(visit):
        raise Refused(
            f"Visit {visit.number} has invoice {issued.number}, so its card stays closed. What it was can still be "
            "corrected."
        )
    if not reason:
        raise BadInput("The reason", None, "why the card is reopened")
    if len(reason) > LONGEST_REASON:
        raise BadInput("The reason", f"{len(reason)} characters", f"at most {LONGEST_REASON} characters")
    card.closed_at, card.closed_by, card.nothing_wrong = None, None, False
    card.save(update_fields=["closed_at", "closed_by", "nothing_wrong"])
    trail.about_visit(visit, f"reopened the card: {reason}", by=by, now=now)
    learning.card_reopened(visit, by=by, now=now)
    return card


def _closable(visit: Visit, worked_min: Mapping[int, int], by: Person, *, nothing_wrong: bool, now: datetime) -> Card:
    card = cards.opened(visit, by=by, now=now)
    visit = card.visit
    step = visit.steps.filter(began_at__isnull=False, ended_at=None).first()
    if step:
        raise Refused(f"The {step.what} is still running at the {step.get_at_display()}: end it, then close the card.")
    why = why_not_close(
        ToClose(
            number=visit.number,
            booked=visit.kind.name.lower(),
            at=PLACE_WORDS[visit.kind.at],
            has_begun=has_begun(visit),
            has_cause=has_a_cause(visit),
            nothing_wrong=nothing_wrong,
        )
    )
    if why:
        raise Refused(why)
    for clock in card.labour.filter(ended_at=None).select_related("by", "card__visit"):
        if clock.pk not in worked_min:
            raise Refused(f"{clock.by.name}'s clock is still running on this card: say how many minutes were worked.")
        labour.stop_after(clock, minutes=worked_min[clock.pk], by=by, now=now)
    return card


def _closed(card: Card, by: Person, *, nothing_wrong: bool, now: datetime) -> Card:
    card.closed_at, card.closed_by, card.nothing_wrong = now, by, nothing_wrong
    card.save(update_fields=["closed_at", "closed_by", "nothing_wrong"])
    jets = card.lines.filter(what=CardLine.JET, struck_at=None).exclude(after="")
    fitted.now_fitted(card.visit, {line.words.lower(): line.after for line in jets}, by=by, now=now)
    consents.lapse(card.visit, now=now)
    trail.about_visit(
        card.visit, 'closed the card: "nothing wrong"' if nothing_wrong else "closed the card", by=by, now=now
    )
    learning.card_closed(card.visit, by=by, now=now)
    return card
