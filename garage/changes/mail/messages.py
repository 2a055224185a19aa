"""Messages: written in the transaction that causes them, then handed to the mail server, at least once."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.template import Context, Engine
from django.template.loader import get_template
from django.utils import timezone

from garage.changes import trail
from garage.core import states
from garage.core.currencies import in_currency
from garage.core.errors import Refused
from garage.core.mail.mail_tries import MOST_TRIES, wait_after
from garage.core.mail.wording import WORDED
from garage.core.text.languages import ENGLISH, language_in_force
from garage.core.text.unbroken import kept_together
from garage.models.messages import Enclosure, Message
from garage.models.people import Person
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.output.addresses import sheet_address, visit_address
from garage.output.post import Enclosed
from garage.output.speaking import speaking
from garage.reads import links
from garage.reads.messages import TO_CONFIRM, due
from garage.reads.shop import the_shop
from garage.wake import wake

SEND_DUE = "garage.tasks.send_due"
LEASE = timedelta(minutes=5)  # if a sender dies, the message can be claimed again after this; no sending takes as long
CUT_OFF = "Its sending was cut off each time, so it may have arrived."


@dataclass(frozen=True)
class Letter:
    """The words of a message, whether or not it is written. language: of whoever reads it, a key of LANGUAGES."""

    subject: str
    text: str
    html: str
    language: str = ENGLISH


def write(
    what: str,
    *,
    to: str,
    visit: Visit | None,
    shop: Shop,
    context: Mapping[str, object],
    enclosures: Sequence[Enclosed] = (),
    language: str = "",
    now: datetime,
) -> Message:
    """Stores the letter. It is sent after the transaction commits. Without an address the message is stored as one
    that could not be sent, so that somebody rings.
    """
    words = letter(what, visit=visit, shop=shop, context=context, enclosures=enclosures, language=language)
    return keep(what, words, to=to, visit=visit, enclosures=enclosures, now=now)


def keep(
    what: str,
    words: Letter,
    *,
    to: str,
    visit: Visit | None,
    enclosures: Sequence[Enclosed] = (),
    now: datetime,
    due_at: datetime | None = None,
) -> Message:
    """As write, of a letter that is rendered already. due_at: if it is not to go out at once.

    Every mail is written here, so here it stands that an address is confirmed before anything else is sent to it.
    """
    if visit is not None and visit.state in states.UNPROVEN and what != TO_CONFIRM:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: nothing is mailed to its owner. Confirm it first.")
    message = Message.objects.create(
        visit=visit,
        what=what,
        to=to,
        **asdict(words),
        written_at=now,
        due_at=due_at or now,
        tries=0 if to else MOST_TRIES,
        trouble="" if to else "No email address is on file.",
    )
    for enclosed in enclosures:
        Enclosure.objects.create(
            message=message, name=enclosed.name, content_type=enclosed.content_type, content=enclosed.content
        )
    wake(SEND_DUE)
    return message


def letter(
    what: str,
    *,
    visit: Visit | None,
    shop: Shop,
    context: Mapping[str, object],
    enclosures: Sequence[Enclosed] = (),
    language: str = "",
) -> Letter:
    """Renders templates/mail/<what>/. language: if it is not to be that of the visit's owner.

    Templates get `shop`, `enclosures`, with a visit also `visit`, `sheet_url` and `visit_url`, and everything in
    context. Times are in the garage's zone, amounts in its currency and all of it in the reader's language, whatever
    the page has set that causes it. What the context says in words is made in that language before.
    """
    language = language or (visit.owner.language if visit else ENGLISH)
    with timezone.override(shop.local_time.zone), in_currency(shop.currency, shop.tax_name), speaking(language):
        return _rendered(what, {"shop": shop, "enclosures": enclosures} | _values(visit) | dict(context))


def claim_next(now: datetime) -> Message | None:
    """The next message due, claimed for some minutes so that nobody else sends it. Holds no lock.

    It is marked after its sending. If the sender is killed in between it goes again, under the same Message-ID.
    """
    with transaction.atomic():
        message = due(now).select_for_update(skip_locked=True, of=("self",)).first()
        if message is None:
            return None
        message.perhaps_twice = message.perhaps_twice or message.in_hand
        message.in_hand = message.tries < MOST_TRIES
        if message.in_hand:
            message.tries += 1
            message.due_at = now + LEASE
        else:
            message.trouble = CUT_OFF
        message.save(update_fields=["tries", "due_at", "in_hand", "perhaps_twice", "trouble"])
    return message if message.in_hand else claim_next(now)


def mark_sent(message: Message, *, at: datetime) -> None:
    message.sent_at, message.trouble, message.in_hand = at, "", False
    message.save(update_fields=["sent_at", "trouble", "in_hand"])


def keep_here(message: Message, *, at: datetime) -> None:
    """There is no mail server: the message is read on the sent page."""
    message.kept_here = True
    mark_sent(message, at=at)
    message.save(update_fields=["kept_here"])


def mark_not_sent(message: Message, *, why: str, for_good: bool, at: datetime, may_have_arrived: bool = False) -> None:
    """Retried with growing back-off. After the last retry, or if it is final, a person has to look."""
    message.tries = MOST_TRIES if for_good else message.tries
    message.due_at = _not_at_night(message.what, at + wait_after(message.tries))
    message.trouble, message.in_hand = why[:300], False
    message.perhaps_twice = message.perhaps_twice or may_have_arrived
    message.save(update_fields=["tries", "due_at", "trouble", "in_hand", "perhaps_twice"])


def _not_at_night(what: str, due_at: datetime) -> datetime:
    """A reminder that was not taken in the evening is not tried again at night."""
    if what not in WORDED:
        return due_at
    shop = the_shop()
    return shop.quiet_hours.morning_after(due_at, shop.local_time)


def try_again(message: Message, *, by: Person, now: datetime) -> None:
    """A person retries it, to the address now on file. A message that was sent is never sent again."""
    with transaction.atomic():
        message = Message.objects.select_for_update().get(pk=message.pk)
        if message.sent_at and not message.kept_here and not message.bounced_at:
            raise Refused("This message has been sent already.")
        if message.in_hand and message.due_at > now:
            raise Refused("It is being sent at this moment: look again in some minutes.")
        if not message.text:
            raise Refused("What it said is gone: it was sent too long ago.")
        if not settings.EMAIL_URL:
            raise Refused("No mail server is set, so nothing can be sent: read it out, or copy it.")
        message.to = message.visit.owner.email if message.visit else message.to
        if not message.to:
            raise Refused("There is no email address on file: add one on the owner's page first.")
        message.sent_at, message.kept_here, message.tries, message.trouble = None, False, 0, ""
        message.due_at, message.bounced_at, message.in_hand = now, None, False
        message.save()
        trail.wrote(did="sent again", about=f"message {message.pk}", by=by, now=now, visit=message.visit)
        wake(SEND_DUE)


def _values(visit: Visit | None) -> dict[str, object]:
    if visit is None:
        return {}
    return {
        "visit": visit,
        "sheet_url": sheet_address(links.token(visit, links.SHEET)),
        "visit_url": visit_address(links.token(visit, links.VISIT)),
    }


def _rendered(what: str, values: dict[str, object]) -> Letter:
    text = re.sub(r"[ \t]+$", "", _plain(f"mail/{what}/body.txt", values), flags=re.MULTILINE)
    text = re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"
    text = kept_together(text)
    subject = " ".join(_plain(f"mail/{what}/subject.txt", values).split())
    html = kept_together(get_template(f"mail/{what}/body.html").render(values))
    return Letter(subject[:200], text, html, language_in_force())


def _plain(name: str, values: dict[str, object]) -> str:
    """Rendered without escaping, because it is read as text, not as HTML."""
    return Engine.get_default().get_template(name).render(Context(values, autoescape=False))
