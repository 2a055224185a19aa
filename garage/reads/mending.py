"""What the rows say of troubles: mail that the server does not take, and times that lie ahead of the clock."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Count, Max, Min, Q

from garage.core.computer.mending import MailWaits
from garage.core.mail.mail_tries import MOST_TRIES
from garage.models.messages import Message
from garage.models.trail import TrailRow

LOOKED_AT = 200  # rows, the last written: enough to hold one of before the clock was put back


def mail_that_waits() -> MailWaits | None:
    """None while the server takes mail: what it has not taken then is the trouble of one address."""
    went_out_at = Message.objects.filter(kept_here=False).aggregate(at=Max("sent_at"))["at"]
    since = Q(written_at__gt=went_out_at) if went_out_at else Q()
    waits = Message.objects.filter(since, sent_at=None, tries__range=(1, MOST_TRIES - 1)).exclude(trouble="")
    found = waits.aggregate(count=Count("pk"), since=Min("written_at"), said=Max("trouble"))
    return MailWaits(found["since"], found["count"], found["said"]) if found["count"] else None


def latest_written_at() -> datetime | None:
    """The latest time in the trail, which is ahead of the clock if that was put back."""
    lately = TrailRow.objects.order_by("-pk").values_list("at", flat=True)[:LOOKED_AT]
    return max(lately, default=None)
