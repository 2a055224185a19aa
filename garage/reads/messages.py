"""Messages as the sent page shows them, and which are due."""

from collections.abc import Iterable
from datetime import datetime

from django.db.models import QuerySet
from django.http import Http404

from garage.models.messages import Enclosure, Message

MOST_TRIES = 8
SHOWN = 200


def due(now: datetime) -> QuerySet[Message]:
    """Those not sent whose time has come, the longest waiting first."""
    return Message.objects.filter(sent_at=None, tries__lt=MOST_TRIES, due_at__lte=now).order_by("due_at", "id")


def unsent() -> QuerySet[Message]:
    return Message.objects.filter(sent_at=None).select_related("visit__machine")


def went_out() -> QuerySet[Message]:
    """Those sent or kept here, the newest first, as many as a page shows."""
    return Message.objects.exclude(sent_at=None).select_related("visit__machine")[:SHOWN]


def message(number: int) -> Message:
    try:
        return Message.objects.select_related("visit__owner").prefetch_related("enclosures").get(pk=number)
    except Message.DoesNotExist as error:
        raise Http404 from error


def enclosure(message_id: int, enclosure_id: int) -> Enclosure:
    try:
        return Enclosure.objects.get(pk=enclosure_id, message_id=message_id)
    except Enclosure.DoesNotExist as error:
        raise Http404 from error


def with_words(rows: Iterable[Message]) -> list[tuple[Message, str]]:
    return [(row, state_words(row)) for row in rows]


def state_words(message: Message) -> str:
    """How far it is, as one would say it; its time stands beside it."""
    if message.kept_here:
        return "kept here, no mail server is set"
    if message.sent_at:
        return "sent"
    if message.tries >= MOST_TRIES:
        return "not sent"
    return "tried, will be tried again" if message.trouble else "waiting"
