"""Come-backs: what the closed card and the returning visit show about them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import QuerySet

from diagnostics.pages.causes import CauseLine, cause_lines
from diagnostics.reads.learning import closings_now
from garage.core import states
from garage.models.visits import Visit
from jobs.pages.returning import cause_words

if TYPE_CHECKING:
    from diagnostics.reads.learning import ClosingNow

NOT_THERE = (states.CALLED_OFF, states.DID_NOT_COME)


@dataclass(frozen=True)
class CameBack:
    """visit: the one with the closed card. says: its cause. marked_at: when it was marked as a come-back.

    returning: the visit whose page shows this; None on the card itself.
    """

    visit: Visit
    closed_at: datetime
    says: str
    marked_at: datetime | None
    returning: Visit | None = None


def of_card(visit: Visit, causes: Sequence[CauseLine]) -> CameBack | None:
    """None while the card is open. causes: the ones on the card."""
    closing = _newest(closings_now().filter(visit=visit))
    return _shown(closing, causes, None) if closing else None


def of_last_time(visit: Visit) -> CameBack | None:
    """The machine's last closed visit before this one. None if there is none, or if this visit will not take place."""
    if visit.state in NOT_THERE:
        return None
    before = closings_now().filter(visit__machine=visit.machine_id, visit__number__lt=visit.number)
    closing = _newest(before)
    return _shown(closing, cause_lines(closing.visit), visit) if closing else None


def _newest(closings: QuerySet[ClosingNow]) -> ClosingNow | None:
    return closings.select_related("visit").order_by("-at", "-id").first()


def _shown(closing: ClosingNow, causes: Sequence[CauseLine], returning: Visit | None) -> CameBack:
    return CameBack(closing.visit, closing.at, cause_words(causes), closing.back_since, returning)
