"""What an owner is told when the time of a visit changes, with a file for the owner's diary.

The file keeps its UID for the life of the visit. Each later one has a higher SEQUENCE, or diaries would ignore it.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from datetime import datetime, timedelta
from decimal import Decimal

from garage.changes.mail import messages, worded
from garage.core import states
from garage.core.mail.gathered import wait_of
from garage.core.mail.wording import NO_SHOW, READY
from garage.core.planning import day_rules
from garage.core.text.languages import told, told_later
from garage.models.shop import ROLLER, Shop
from garage.models.standby import Offer
from garage.models.visits import Visit
from garage.output import ical
from garage.output.addresses import (
    confirm_address,
    guide_address,
    offer_address,
    public_guide_address,
    time_address,
)
from garage.output.post import Enclosed
from garage.output.speaking import speaking
from garage.reads import links
from garage.reads.arrival import agreed_at, arrive_at
from garage.reads.messages import TO_CONFIRM

BEFORE_YOU_COME = "before-you-come"  # the guide to what to bring, fuel and straps
HOW_TO_CHANGE = told_later("To move it or call it off, use the link in our email, or ring us.")


def booked(visit: Visit, shop: Shop, *, now: datetime) -> None:
    before_url = public_guide_address(BEFORE_YOU_COME)
    _write("visit_booked", visit, shop, diary(visit, shop, now=now), before_url=before_url, now=now)


def to_confirm(visit: Visit, shop: Shop, *, until: datetime, now: datetime) -> None:
    """The only mail to an address that has proved nothing yet. It holds nothing that a stranger could open."""
    url = confirm_address(links.token(visit, links.CONFIRM))
    _write(TO_CONFIRM, visit, shop, None, until=until, confirm_url=url, now=now)


def moved(visit: Visit, shop: Shop, *, now: datetime) -> None:
    _raise_sequence(visit)
    _write("visit_moved", visit, shop, diary(visit, shop, now=now), now=now)


def moved_letter(visit: Visit, shop: Shop, *, starts_at: datetime, now: datetime) -> messages.Letter:
    """What `moved` would write if the visit were moved there, for a page that asks first. Nothing is written."""
    to_be = copy(visit)
    to_be.starts_at = starts_at
    context = {"arrive_at": arrive_at(to_be)}
    enclosures = [diary(to_be, shop, now=now)]
    return messages.letter("visit_moved", visit=to_be, shop=shop, context=context, enclosures=enclosures)


def time_given(visit: Visit, shop: Shop, *, now: datetime) -> None:
    """Of a machine that was left with us: when it goes on the rollers. Its owner need not come for that."""
    _raise_sequence(visit)
    goes_on = visit.is_left_with_us and visit.at == ROLLER and visit.state in states.IN_THE_BUILDING
    _write("goes_on" if goes_on else "visit_time_given", visit, shop, diary(visit, shop, now=now), now=now)


def called_off(visit: Visit, shop: Shop, *, taken_out: Enclosed | None, now: datetime) -> None:
    """taken_out: made by taken_out_of_the_diary while the visit still had its time."""
    _write("visit_called_off", visit, shop, taken_out, now=now)


def to_fix_at_home(
    visit: Visit, shop: Shop, *, guides: Sequence[tuple[str, str]], taken_out: Enclosed | None, now: datetime
) -> None:
    """guides: title in English and address of each. taken_out: as for called_off."""
    guide_url = guide_address(links.token(visit, links.VISIT))
    _write("to_fix_at_home", visit, shop, taken_out, guide_url=guide_url, guides=guides, now=now)


def left_with_us(visit: Visit, shop: Shop, *, now: datetime) -> None:
    _raise_sequence(visit)
    _write("left_with_us", visit, shop, diary(visit, shop, now=now), now=now)


def time_given_back(visit: Visit, shop: Shop, *, taken_out: Enclosed | None, now: datetime) -> None:
    """taken_out: as for called_off."""
    _write("time_given_back", visit, shop, taken_out, now=now)


def put_off(visit: Visit, shop: Shop, *, why: str, before: datetime, taken_out: Enclosed | None, now: datetime) -> None:
    """before: the time that it had. taken_out: as for called_off."""
    pick_url = time_address(links.token(visit, links.VISIT))
    _write("put_off", visit, shop, taken_out, why=why, before=before, pick_url=pick_url, now=now)


def time_offered(offer: Offer, shop: Shop, *, now: datetime) -> None:
    """To an owner on standby. Nothing is changed until there is a yes by the link."""
    url = offer_address(links.token(offer.visit, links.VISIT), offer.pk)
    _write("time_offered", offer.visit, shop, None, offer=offer, offer_url=url, now=now)


def asked_to_go_on(offer: Offer, shop: Shop, *, now: datetime) -> None:
    """To the owner of a machine that was left with us. Nothing is changed until there is a yes by the link."""
    url = offer_address(links.token(offer.visit, links.VISIT), offer.pk)
    _write("may_go_on", offer.visit, shop, None, offer=offer, offer_url=url, now=now)


def deposit_came(visit: Visit, shop: Shop, *, amount: Decimal, now: datetime) -> None:
    _write("deposit_came", visit, shop, None, amount=amount, now=now)


def ready_to_collect(visit: Visit, shop: Shop, *, now: datetime) -> None:
    """In the shop's own words, and not at night."""
    due_at = shop.quiet_hours.morning_after(now, shop.local_time)
    worded.write_worded(READY, visit, shop, more={}, now=now, due_at=due_at)


def did_not_come(visit: Visit, shop: Shop, *, before: datetime, now: datetime) -> None:
    """In the shop's own words, and not at night. before: the time that it had."""
    due_at = shop.quiet_hours.morning_after(now, shop.local_time)
    with speaking(visit.owner.language):
        more = {"when": shop.local_time.in_words(before)}
    worded.write_worded(NO_SHOW, visit, shop, more=more, now=now, due_at=due_at)


def diary(visit: Visit, shop: Shop, *, now: datetime) -> Enclosed:
    """The agreed time as a file for the owner's diary."""
    return _file(visit, shop, ical.PUBLISH, now=now)


def taken_out_of_the_diary(visit: Visit, shop: Shop, *, now: datetime) -> Enclosed | None:
    """The file that removes the agreed time, made before the time is given back. None if there is no time."""
    if visit.starts_at is None:
        return None
    _raise_sequence(visit)
    return _file(visit, shop, ical.CANCEL, now=now)


def _raise_sequence(visit: Visit) -> None:
    visit.calendar_sequence += 1
    visit.save(update_fields=["calendar_sequence"])


def _file(visit: Visit, shop: Shop, method: ical.Method, *, now: datetime) -> Enclosed:
    starts_at = agreed_at(visit)
    arrive = f"{shop.local_time.shown(day_rules.arrive_at(visit.at, starts_at)):%H:%M}"
    number, kind, machine = visit.number, visit.kind.name, visit.machine.words
    with speaking(visit.owner.language):
        when = told("Visit {number}: {kind}. Please be there at {arrive}.", number=number, kind=kind, arrive=arrive)
        # No personal link: families and firms share their diaries, and the link opens everything.
        words = f"{when}\n{told(HOW_TO_CHANGE)}"
        summary = told("{machine} at {shop}", machine=machine, shop=shop.name)
    content = ical.calendar_file(
        method=method,
        uid=str(visit.calendar_uid),
        sequence=visit.calendar_sequence,
        starts_at=starts_at,
        ends_at=starts_at + timedelta(minutes=visit.minutes),
        stamped_at=now,
        summary=summary,
        place=", ".join([shop.name, *shop.address.splitlines()]),
        words=words,
        organizer_name=shop.name,
        organizer_mail=shop.email,
    )
    return Enclosed(name=ical.FILE_NAME, content_type=ical.content_type(method), content=content)


def _write(what: str, visit: Visit, shop: Shop, enclosed: Enclosed | None, *, now: datetime, **values: object) -> None:
    context = {"arrive_at": arrive_at(visit), **values}
    enclosures = [enclosed] if enclosed else []
    words = messages.letter(what, visit=visit, shop=shop, context=context, enclosures=enclosures)
    due_at = now + wait_of(what)
    messages.keep(what, words, to=visit.owner.email, visit=visit, enclosures=enclosures, now=now, due_at=due_at)
