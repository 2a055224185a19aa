"""Messages: which are due, which are waiting, which went out."""

from datetime import datetime

from django.db.models import QuerySet

from garage.core.mail_tries import MOST_TRIES
from garage.models.messages import Message


def due(now: datetime) -> QuerySet[Message]:
    """Unsent messages whose time has come, the longest waiting first."""
    return Message.objects.filter(sent_at=None, tries__lt=MOST_TRIES, due_at__lte=now).order_by("due_at", "id")


def unsent() -> QuerySet[Message]:
    return Message.objects.filter(sent_at=None).select_related("visit__machine")


def went_out() -> QuerySet[Message]:
    """Messages sent or kept here, the newest first."""
    return Message.objects.exclude(sent_at=None).select_related("visit__machine")
