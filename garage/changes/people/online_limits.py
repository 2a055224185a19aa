"""What one stranger can take online. Asked behind the shop's lock, so that all who come at once are counted."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.conf import settings

from garage.changes.people import attempts
from garage.core.errors import Refused
from garage.core.selling.unconfirmed import MOST_MAILS_A_DAY, mail_without_tag, visits_of_one
from garage.core.text.languages import told
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.reads.online_bookings import BOOKED_ONLINE, contacts_to_come, held_from, how_many_wait, why_nobody_books

ASKED_TO_CONFIRM = "asked-to-confirm"
A_DAY = timedelta(days=1)


def check_one_more_hold(address_key: str, shop: Shop, *, now: datetime) -> None:
    check_brake(shop, now=now)
    if held_from(address_key, now=now) >= shop.holds_per_network:
        raise Refused(
            told(
                "Times are being held for other bookings from your connection: confirm one by the link that we mailed, "
                "try again later, or ring {telephone}.",
                telephone=shop.telephone,
            )
        )


def check_brake(shop: Shop, *, now: datetime) -> None:
    if why_nobody_books(shop, how_many_wait(), now=now):
        raise Refused(
            told(
                "More has been booked here lately than we can look through. Ring {telephone} and we book it for you.",
                telephone=shop.telephone,
            )
        )


def check_contact(email: str, telephone: str, shop: Shop, *, besides: Visit) -> None:
    """besides: a visit that is not counted."""
    if visits_of_one(email, telephone, contacts_to_come(besides=besides)) >= shop.visits_per_owner:
        most = shop.visits_per_owner
        visits = told("1 visit") if most == 1 else told("{count} visits", count=most)
        raise Refused(
            told(
                "Only {visits} to come can be booked here with one email address or telephone number: "
                "ring {telephone} for another.",
                visits=visits,
                telephone=shop.telephone,
            )
        )


def count_a_booking(email: str, shop: Shop, *, now: datetime) -> None:
    """One more was booked online. If there is a mail server, its address is mailed before it has proved anything."""
    attempts.tried(BOOKED_ONLINE, key="", now=now)
    if not settings.EMAIL_URL:
        return
    key = attempts.hashed(mail_without_tag(email).casefold())
    if not attempts.may_try(ASKED_TO_CONFIRM, key=key, most=MOST_MAILS_A_DAY, within=A_DAY, now=now):
        raise Refused(
            told(
                "We have written to {email} several times today and nobody has confirmed: "
                "ring {telephone} and we book it for you.",
                email=email,
                telephone=shop.telephone,
            )
        )
    attempts.tried(ASKED_TO_CONFIRM, key=key, now=now)
