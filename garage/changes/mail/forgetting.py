"""Messages past their time. What an owner was told about a machine's safety stays as a remark of its own."""

from __future__ import annotations

from collections import Counter
from datetime import datetime

from django.db.models import Q, QuerySet

from garage.changes import trail
from garage.changes.sweeping import delete_in_batches
from garage.core import states
from garage.core.keeping.counts import counted
from garage.core.keeping.periods import ENCLOSURES, MAILS
from garage.models.actors import SYSTEM
from garage.models.messages import Enclosure, Message
from garage.models.safety import SafetyRemark


def forget_old(*, now: datetime) -> Counter[str]:
    """None of a visit that is not over yet, however long ago it was sent."""
    old = Message.objects.filter(_is_over(), written_at__lt=MAILS.before(now))
    files = Enclosure.objects.filter(_is_over("message__"), message__sent_at__lt=ENCLOSURES.before(now))
    gone = Counter({"enclosures": delete_in_batches(files)}) + forget(old)
    if gone:
        trail.wrote(did=f"let go what was mailed long ago: {counted(gone)}", about="the shop", by=SYSTEM, now=now)
    return gone


def forget(messages: QuerySet[Message]) -> Counter[str]:
    """A few at a time. One that a safety remark names is emptied: that it was sent, and whether it came back, stays."""
    named = SafetyRemark.objects.filter(message__isnull=False).values("message")
    emptied = messages.filter(pk__in=named).exclude(to="", text="")
    Enclosure.objects.filter(message__in=emptied).delete()
    many = emptied.update(to="", subject="", text="", html="", trouble="")
    return Counter({"emails": many + delete_in_batches(messages.exclude(pk__in=named))})


def _is_over(of: str = "") -> Q:
    return Q(**{f"{of}visit": None}) | Q(**{f"{of}visit__state__in": states.OVER})
