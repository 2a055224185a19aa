"""Between what the numbers of the settings lie. What lies outside is a slip of the keys; common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from garage.core.errors import BadInput
from garage.core.selling.own_changes import MOST_LATE_HOURS

A_DAY_MIN, A_WEEK_H, A_YEAR_DAYS = 24 * 60, 7 * 24, 366
MOST_PENCE = 1_000_000
MOST_POUNDS = 10_000

LIMITS: Mapping[str, tuple[int, int]] = {
    "vat_percent": (0, 100),
    "labour_per_hour": (0, MOST_POUNDS),
    "bench_limit_pounds": (0, MOST_POUNDS),
    "deposit_days": (0, A_YEAR_DAYS),
    "deposit_frees_after_days": (1, A_YEAR_DAYS),
    "late_hours": (1, MOST_LATE_HOURS),
    "ask_again_hours": (0, A_WEEK_H),
    "invoice_due_days": (0, A_YEAR_DAYS),
    "slot_lost_pence": (0, MOST_PENCE),
    "bench_check_pence": (0, MOST_PENCE),
    "call_pence": (0, MOST_PENCE),
    "bench_minute_pence": (0, MOST_PENCE),
    "stopped_in_time_pence": (0, MOST_PENCE),
    "choose_hours": (0, A_WEEK_H),
    "floor_places": (0, 100),
    "standby_minutes": (0, 2 * A_DAY_MIN),
    "standby_today_minutes": (0, A_DAY_MIN),
    "offer_minutes": (1, A_DAY_MIN),
    "offers_at_once": (1, 20),
    "guard_minutes": (0, 240),
    "gate_minutes": (0, 240),
    "strap_minutes": (0, 120),
    "bookable_days": (1, A_YEAR_DAYS),
    "notice_minutes": (0, 14 * A_DAY_MIN),
    "hold_minutes": (1, 120),
    "hold_minutes_in_all": (1, A_DAY_MIN),
    "holds_per_address_and_hour": (1, 1000),
    "confirm_hours": (1, 48),
    "holds_per_network": (1, 1000),
    "visits_per_owner": (1, 1000),
    "most_unconfirmed": (1, 1000),
    "most_online_an_hour": (1, 1000),
}


class OutOfRange(BadInput):
    """The number stands beside its field, so the sentence does not name it."""

    def __init__(self, where: str, found: object, least: int, most: int) -> None:
        super().__init__(where, found, f"{least} to {most}")
        self.args = (f"{found} is not possible here: {least} to {most} is.",)


def check_limits(values: Mapping[str, object]) -> None:
    """values: settings by name; those without a limit, or None, are passed over. Raises OutOfRange.

    >>> check_limits({"bookable_days": 0})
    Traceback (most recent call last):
    garage.core.shop_limits.OutOfRange: 0 is not possible here: 1 to 366 is.
    """
    for name, (least, most) in LIMITS.items():
        value = values.get(name)
        if isinstance(value, int | Decimal) and not least <= value <= most:
            raise OutOfRange(name, value, least, most)
