"""How much waits and how much is sold, as numbers without anybody's name."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple

from django.db.models import Count, Min, Q

from garage.core.mail.mail_tries import MOST_TRIES
from garage.core.time.day_minutes import PIECE_MIN
from garage.models.messages import Message
from garage.models.visits import SoldPiece


class Waiting(NamedTuple):
    """waits: how many. since: of the one that has waited longest; None where nothing waits."""

    waits: int
    since: datetime | None


def mails_waiting(*, now: datetime) -> Waiting:
    """Those that are due and will be tried, for the first time or again."""
    may_go = Q(tries__lt=MOST_TRIES) | Q(in_hand=True)
    found = Message.objects.filter(may_go, sent_at=None, due_at__lte=now).aggregate(
        count=Count("pk"), since=Min("due_at")
    )
    return Waiting(found["count"], found["since"])


def mails_failed() -> int:
    """Given up, or come back, and not told otherwise since."""
    given_up = Q(sent_at=None, tries__gte=MOST_TRIES, in_hand=False)
    return Message.objects.filter(given_up | Q(bounced_at__isnull=False), told_at=None).count()


def minutes_sold_ahead(*, now: datetime) -> dict[str, int]:
    """By the kind of place."""
    rows = SoldPiece.objects.filter(visit__isnull=False, begins_at__gte=now).values_list("at").annotate(Count("pk"))
    return {at: count * PIECE_MIN for at, count in rows.order_by("at")}
