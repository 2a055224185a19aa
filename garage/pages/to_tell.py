"""What did not reach an owner by mail: to text or ring today, with the words ready."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from garage.core import states
from garage.core.mail.telephone_links import sms_link, tel_link
from garage.core.mail.wording import DO_NOT_RUN, WORDED
from garage.models.messages import Message
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.output.addresses import offer_address, visit_address
from garage.pages.sent import state_words
from garage.reads import links
from garage.reads.messages import OFFERS, WARNING, to_tell
from garage.reads.standby import offers_open_to
from garage.reads.wordings import FREE


@dataclass(frozen=True)
class ToTell:
    """why: why it was not read. words: to be texted or read out. tel, sms: empty if the number cannot be rung."""

    message: Message
    visit: Visit
    is_warning: bool
    why: str
    words: str
    tel: str
    sms: str


def lines_to_tell(shop: Shop, *, now: datetime) -> tuple[ToTell, ...]:
    """Of several warnings about one visit the last one: whoever knows of it knows enough."""
    lines = [_line(message, message.visit, shop, now) for message in to_tell(now) if message.visit]
    last = {line.visit.pk: line.message.pk for line in lines if line.is_warning}
    return tuple(line for line in lines if not line.is_warning or line.message.pk == last[line.visit.pk])


def warning_to_tell(visit: Visit, shop: Shop, *, now: datetime) -> ToTell | None:
    """That this machine must not run, while its owner may not know of it."""
    if not (visit.is_kept_off and visit.state in states.COMING):
        return None
    last = to_tell(now).filter(visit=visit, what=WARNING).last()
    return _line(last, visit, shop, now) if last else None


def _line(message: Message, visit: Visit, shop: Shop, now: datetime) -> ToTell:
    words, number = _words(message, visit, shop, now), visit.owner.telephone
    return ToTell(
        message=message,
        visit=visit,
        is_warning=message.what == WARNING,
        why=_why(message, now),
        words=words,
        tel=tel_link(number, shop.calling_code),
        sms=sms_link(number, shop.calling_code, words),
    )


def _why(message: Message, now: datetime) -> str:
    if message.bounced_at or (message.trouble and not message.sent_at):
        return message.trouble
    if message.kept_here:
        return "No mail server is set."
    return f"{state_words(message, now=now).capitalize()}, but not opened."


def _words(message: Message, visit: Visit, shop: Shop, now: datetime) -> str:
    """A message of a person's or the shop's own words whole, of any other what it is about, with the link to more."""
    if message.what in WORDED or message.what == FREE:
        return message.text.strip()
    if message.what in OFFERS and (offer := offers_open_to(visit, now).first()):
        until = shop.local_time.in_words(offer.open_until)
        address = offer_address(links.token(visit, links.VISIT), offer.pk)
        how = f"The first yes until {until} has it: {address}, or ring {shop.telephone}."
        return f"{shop.name}: {message.subject}. {how}"
    care = f" {DO_NOT_RUN}" if message.what == WARNING else ""
    return f"{shop.name}: {message.subject}.{care} {visit_address(links.token(visit, links.VISIT))}"
