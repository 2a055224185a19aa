"""Deposits that did not come by their day: whom to ring, with the words to text ready."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from garage.core.deposits import frees_its_time_on
from garage.core.mail.telephone_links import sms_link, tel_link
from garage.core.money import pounds_words
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.output.addresses import visit_address
from garage.reads import links
from garage.reads.deposits import deposits_missed


@dataclass(frozen=True)
class MissedDeposit:
    """left: pounds still to come. frees_on: the day on which its time is free again by itself; None if never.

    tel, sms: empty if the number cannot be rung.
    """

    visit: Visit
    left: Decimal
    frees_on: date | None
    tel: str
    sms: str


def missed_deposits(shop: Shop, *, now: datetime) -> tuple[MissedDeposit, ...]:
    return tuple(_line(visit, shop) for visit in deposits_missed(shop.local_time.day(now)))


def _line(visit: Visit, shop: Shop) -> MissedDeposit:
    left, number = visit.deposit - visit.deposit_paid, visit.owner.telephone
    days_after = None if visit.deposit_paid else shop.deposit_frees_after_days
    words = (
        f"{shop.name}: the deposit of {pounds_words(left)} for visit {visit.number}, your {visit.machine.words}, has "
        f"not come yet. Do you still want the time? {visit_address(links.token(visit, links.VISIT))}"
    )
    return MissedDeposit(
        visit=visit,
        left=left,
        frees_on=frees_its_time_on(visit.deposit_due_on, days_after),
        tel=tel_link(number, shop.calling_code),
        sms=sms_link(number, shop.calling_code, words),
    )
