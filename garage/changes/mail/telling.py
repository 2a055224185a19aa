"""What a mail could not do: told by a person instead, opened by its owner, reported back by a mail server."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction
from django.db.models import QuerySet

from garage.changes import trail
from garage.core import states
from garage.core.errors import BadInput, Refused, Unquoted
from garage.core.mail.delivery_report import Undelivered, read_report
from garage.models.messages import Message
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.messages import WARNING


@transaction.atomic
def told(message: Message, *, by: Person, now: datetime) -> Message:
    """A person has texted the owner, or rung. The message leaves the list, and a warning with those before it."""
    message = Message.objects.select_for_update().get(pk=message.pk)
    if message.told_at:
        raise Refused("This is told already: it has left the list.")
    message.told_at, message.told_by = now, by
    message.save(update_fields=["told_at", "told_by"])
    if message.what == WARNING:
        before = Message.objects.filter(visit=message.visit, what=WARNING, written_at__lte=message.written_at)
        before.filter(told_at=None).update(told_at=now, told_by=by)
    did = f"texted or rang: {message.subject}"
    trail.wrote(did=did, about=f"message {message.pk}", by=by, now=now, visit=message.visit)
    return message


def opened_by_owner(visit: Visit, *, now: datetime) -> None:
    """While the machine must not run it matters whether the warning has been read. One write, and no lock."""
    if visit.is_kept_off and visit.state in states.COMING:
        Visit.objects.filter(pk=visit.pk).update(page_opened_at=now)


@transaction.atomic
def report_came_back(source: str, *, by: Person, now: datetime) -> list[Message]:
    """The mails that the report speaks of are marked as not delivered. Given again it changes nothing.

    Raises BadInput if it is no report, Refused if it tells of nothing lost or of nobody we wrote to.
    """
    report = read_report(source)
    if not report.undelivered:
        raise Refused("This report tells of a delay or of a delivery, not of a mail that was lost: nothing to do.")
    found = [
        (message, lost)
        for lost in report.undelivered
        if (message := _sent_to(lost.address, report.message_number)) is not None
    ]
    if not found:
        addresses = ", ".join(lost.address for lost in report.undelivered)
        raise BadInput("The report", Unquoted(f"about {addresses}"), "a mail that was sent from here")
    return [_bounced(message, lost, by=by, now=now) for message, lost in found]


def _sent_to(address: str, number: int | None) -> Message | None:
    """The mail that the report names, if it went to that address; without a number the newest that did."""
    rows: QuerySet[Message] = Message.objects.select_for_update().filter(to__iexact=address, sent_at__isnull=False)
    if number is not None:
        rows = rows.filter(pk=number)
    return rows.order_by("-sent_at", "-id").first()


def _bounced(message: Message, lost: Undelivered, *, by: Person, now: datetime) -> Message:
    if message.bounced_at:
        return message
    message.bounced_at, message.trouble = now, lost.sentence[:300]
    message.save(update_fields=["bounced_at", "trouble"])
    did = f"not delivered to {message.to}: {message.subject}"
    trail.wrote(did=did, about=f"message {message.pk}", by=by, now=now, visit=message.visit, report=lost.sentence)
    return message
