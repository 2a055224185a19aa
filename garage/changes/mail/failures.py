"""The boss is told by mail of what failed with nobody looking: each kind once an hour."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from django.db import transaction

from garage.changes.mail import messages
from garage.reads.shop import shop_or_none
from garage.running import failures


def tell(data: Path, *, now: datetime) -> int:
    """How many kinds. If it is cut off between message and file, the kind is told twice."""
    shop, many = shop_or_none(), 0
    if shop is None:
        return 0
    for failure, path in failures.untold(data, now=now):
        with transaction.atomic():
            messages.write(
                "something_failed", to=shop.email, visit=None, shop=shop, context={"failure": failure}, now=now
            )
        failures.told(path)
        many += 1
    return many
