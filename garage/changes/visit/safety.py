"""What an owner is told about the machine's safety, kept with who said it, when and how."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.changes.mail.worded import write_freely
from garage.core.errors import BadInput, Refused, Unquoted
from garage.models.messages import Message
from garage.models.people import Person
from garage.models.safety import COUNTER, HOW_TOLD, MAIL, TELEPHONE, SafetyRemark
from garage.models.visits import Visit

LONGEST = 300  # characters
SAID = {COUNTER, TELEPHONE}


@transaction.atomic
def told(visit: Visit, *, words: str, how: str, by: Person, now: datetime) -> SafetyRemark:
    """A person has said it. how: COUNTER or TELEPHONE."""
    if how not in SAID:
        raise BadInput("How", how, "at the counter or by telephone")
    return _kept(visit_for_change(visit), _checked(words), how, by=by, now=now)


@transaction.atomic
def told_by_mail(visit: Visit, *, words: str, by: Person, now: datetime) -> SafetyRemark:
    """Writes the email too. It is on the ring list if it does not reach the owner."""
    visit, words = visit_for_change(visit), _checked(words)
    if not visit.owner.email:
        raise Refused(f"{visit.owner.name} has no email address on file: say it by telephone or at the counter.")
    machine = visit.machine.words
    text = (
        f"Hello {visit.owner.name},\n\nWe have seen this on your {machine}:\n\n{words}\n\n"
        "It bears on how safe the machine is. Please have it put right before it is ridden again."
    )
    message = write_freely(visit, subject=f"About the safety of your {machine}", text=text, by=by, now=now)
    return _kept(visit, words, MAIL, by=by, now=now, message=message)


def _checked(words: str) -> str:
    words = " ".join(words.split())
    if not words:
        raise BadInput("What the owner is told", None, "a sentence, such as: The rear tyre is worn through.")
    if len(words) > LONGEST:
        raise BadInput("What the owner is told", Unquoted(f"{len(words)} characters long"), f"at most {LONGEST}")
    return words


def _kept(
    visit: Visit, words: str, how: str, *, by: Person, now: datetime, message: Message | None = None
) -> SafetyRemark:
    trail.about_visit(visit, f"told the owner {dict(HOW_TOLD)[how]} about its safety: {words}", by=by, now=now)
    return SafetyRemark.objects.create(visit=visit, words=words, how=how, message=message, at=now, by=by)
