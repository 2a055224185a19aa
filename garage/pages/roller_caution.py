"""What a button that begins a session says outside the roller hours. A caution and no refusal: the neighbours' quiet is
the garage's to keep.
"""

from __future__ import annotations

from datetime import datetime

from garage.core.time.roller_hours import Spans, hours_in_words, is_outside
from garage.models.shop import ROLLER, Shop
from garage.models.visits import Step
from garage.reads.opening import quiet_rollers_of


def caution_now(step: Step | None, shop: Shop, *, now: datetime) -> str:
    """Of a session that somebody could begin now, today. Empty for any other step."""
    if step is None or step.at != ROLLER or step.began_at:
        return ""
    quiet = quiet_rollers_of(shop.local_time.day(now).weekday())
    return caution_at(step, quiet, shop.local_time.minute_of_day(now))


def caution_at(step: Step, quiet: Spans, minute: int) -> str:
    """quiet: today's, as of RollerHours. minute: of today, at which it would begin."""
    if step.at != ROLLER or step.began_at or not is_outside(quiet, minute, minute + step.minutes):
        return ""
    return f"Begun now, it would be outside the roller hours: today they {hours_in_words(quiet)}."
