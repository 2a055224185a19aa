"""Messages in the shop's own words: reminders, ready to collect, and what a person writes freely to an owner."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.changes.day import locks
from garage.changes.mail import messages
from garage.core import states
from garage.core.errors import BadInput
from garage.core.mail.wording import DO_NOT_RUN, LONGEST_SUBJECT, LONGEST_TEXT, WORDED, check_wording, filled_in
from garage.core.text.languages import told
from garage.models.messages import Message
from garage.models.people import Person
from garage.models.reminders import Wording
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.output.speaking import speaking
from garage.reads.shop import the_shop
from garage.reads.wordings import FREE, values_of, wording_of


@transaction.atomic
def reword(what: str, *, is_on: bool, subject: str, text: str, by: Person, now: datetime) -> None:
    """Words as delivered are not kept, so that a better wording of a later release reaches the shop."""
    subject, text = _tidied(subject, text)
    check_wording(what, subject=subject, text=text)
    delivered = WORDED[what]
    if (subject, text) == (delivered.subject, delivered.text):
        subject = text = ""
    Wording.objects.update_or_create(what=what, defaults={"is_on": is_on, "subject": subject, "text": text})
    did = f"{'worded' if is_on else 'switched off'} the message “{delivered.title}”"
    trail.wrote(did=did, about="the shop", by=by, now=now, subject=subject, text=text)


def write_worded(
    what: str, visit: Visit, shop: Shop, *, more: Mapping[str, str], now: datetime, due_at: datetime | None = None
) -> Message | None:
    """None if the shop has switched it off. more: values of placeholders that this room does not know."""
    wording = wording_of(what)
    if not wording.is_on:
        return None
    words = letter_in(what, wording.subject, wording.text, visit, shop, more=more)
    return messages.keep(what, words, to=visit.owner.email, visit=visit, now=now, due_at=due_at)


def letter_in(
    what: str, subject: str, text: str, visit: Visit, shop: Shop, *, more: Mapping[str, str]
) -> messages.Letter:
    """What would be written in these words, for a page that shows it first. Words as delivered are said in the owner's
    language; a shop's own stay as it wrote them. more: values made in the owner's language.
    """
    delivered, (subject, text) = WORDED[what], _tidied(subject, text)
    with speaking(visit.owner.language):
        values = dict(values_of(visit, shop)) | dict(more)
        if (subject, text) == (delivered.subject, delivered.text):
            subject, text = told(subject), told(text)
    return _letter(filled_in(subject, values), filled_in(text, values), visit, shop)


@transaction.atomic
def write_freely(visit: Visit, *, subject: str, text: str, by: Person, now: datetime) -> Message:
    """A person's own words to the owner. They are kept with the visit as every message is."""
    visit = locks.visit_for_change(visit)
    subject, text = " ".join(subject.split()), text.strip()
    for where, given, longest in (("Subject", subject, LONGEST_SUBJECT), ("Text", text, LONGEST_TEXT)):
        if not given:
            raise BadInput(where, None, "a few words")
        if len(given) > longest:
            raise BadInput(where, f"{len(given)} characters", f"at most {longest}")
    words = _letter(subject, text, visit, the_shop())
    message = messages.keep(FREE, words, to=visit.owner.email, visit=visit, now=now)
    trail.about_visit(visit, f"wrote to the owner: {subject}", by=by, now=now)
    return message


def _tidied(subject: str, text: str) -> tuple[str, str]:
    """Without the carriage returns of a form, so that words as delivered are known again."""
    return " ".join(subject.split()), "\n".join(text.strip().splitlines())


def _letter(subject: str, text: str, visit: Visit, shop: Shop) -> messages.Letter:
    """A machine that must not run is never spoken of without saying so."""
    may_still_come = visit.state in states.COMING or visit.state == states.DID_NOT_COME
    care = DO_NOT_RUN if visit.is_kept_off and may_still_come else ""
    paragraphs = [part.strip() for part in text.replace("\r\n", "\n").split("\n\n") if part.strip()]
    context = {"subject": subject, "paragraphs": paragraphs, "care": care}
    return messages.letter("worded", visit=visit, shop=shop, context=context)
