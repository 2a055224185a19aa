"""Visits of which an owner may have to be reminded, as the rules of garage/core/mail/reminders.py take them."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db.models import Max, Q, QuerySet

from diagnostics.models.sheets import Sheet
from garage.core import states
from garage.core.mail.reminders import (
    ABOUT_THE_SHEET,
    BEGUN,
    DROPPED_AFTER,
    EARLY,
    FINISHED,
    LATE_AFTER,
    LEFT_STANDING,
    NOT_BEGUN,
    Remindable,
    ReminderRules,
)
from garage.models.messages import Message
from garage.models.reminders import Reminded
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.reads.access import visits_with_names
from jobs.models.book import Invoice
from jobs.models.service import ServiceReminder
from jobs.reads.access import invoice_of
from jobs.reads.book import left_on
from jobs.reads.service import service_on

TOLD_OF_THE_TIME = ("visit_booked", "visit_moved", "visit_time_given")
A_DAY = timedelta(days=1)  # how far a night or a local day can shift a reminder


def rules_of(shop: Shop) -> ReminderRules:
    return ReminderRules(shop.local_time, shop.quiet_hours, shop.invoice_due_days)


def may_be_reminded(shop: Shop, *, now: datetime) -> QuerySet[Visit]:
    """All for which a reminder can be due, and some more: the rules decide."""
    soon = Q(state__in=states.COMING, starts_at__gt=now, starts_at__lt=now + EARLY + A_DAY)
    since = now - LEFT_STANDING
    standing = Q(state=states.READY, ready_at__gt=since - DROPPED_AFTER - A_DAY, ready_at__lt=since + A_DAY)
    issued = shop.local_time.day(now) - timedelta(days=shop.invoice_due_days)
    invoices = Invoice.objects.filter(issued_on__range=(issued - LATE_AFTER - DROPPED_AFTER - A_DAY, issued + A_DAY))
    today = shop.local_time.day(now)
    services = ServiceReminder.objects.filter(due_on__range=(today - DROPPED_AFTER - A_DAY, today + A_DAY))
    later = Q(pk__in=invoices.values("visit")) | Q(pk__in=services.values("visit"))
    return visits_with_names().filter(soon | standing | later)


def remindable(visit: Visit) -> Remindable:
    told = Message.objects.filter(visit=visit, what__in=TOLD_OF_THE_TIME).aggregate(at=Max("written_at"))
    reminded = list(Reminded.objects.filter(visit=visit))
    invoice = invoice_of(visit)
    return Remindable(
        state=visit.state,
        starts_at=visit.starts_at,
        told_at=told["at"],
        sheet=how_far_the_sheet_is(visit),
        route=visit.route,
        ready_at=visit.ready_at,
        unpaid_since=invoice.issued_on if invoice and left_on(invoice) > 0 else None,
        is_business=visit.owner.is_business,
        service_on=service_on(visit),
        reminded=frozenset((row.what, row.about) for row in reminded),
        sheet_reminded_at=max((row.at for row in reminded if row.what in ABOUT_THE_SHEET), default=None),
    )


def how_far_the_sheet_is(visit: Visit) -> str:
    """NOT_BEGUN, BEGUN or FINISHED."""
    sheet = Sheet.objects.filter(visit=visit).first()
    if sheet is None:
        return NOT_BEGUN
    return FINISHED if sheet.sent_at else BEGUN
