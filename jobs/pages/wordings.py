"""The visit with which a message in the shop's words is shown, as its owner would get it."""

from __future__ import annotations

from django.db.models import QuerySet

from garage.core import states
from garage.core.errors import BadInput
from garage.core.mail.reminders import INVOICE_DUE, INVOICE_LATE, SERVICE, STILL_HERE
from garage.core.mail.wording import READY
from garage.models.visits import Visit
from garage.reads.access import visits_with_names

WHEN_READY = (READY, STILL_HERE)


def visit_to_show(what: str, number: int | None) -> Visit | None:
    """The visit asked for, else the newest that is as far as the message, or one that could get there. None while
    there is none.

    Raises BadInput for a number to whose owner this message is never written.
    """
    rows = _could_get(what)
    if number is None:
        as_far = states.IN_THE_BUILDING if what in WHEN_READY else states.COMING
        return rows.filter(state__in=as_far).first() or rows.first()
    found = rows.filter(number=number).first()
    if found is None:
        raise BadInput("Visit", number, f"the number of a visit {_SUCH.get(what, 'with a time agreed')}")
    return found


_SUCH = {
    INVOICE_DUE: "with an invoice, of a private owner",
    INVOICE_LATE: "with an invoice, of an owner who is a business",
    SERVICE: "with a service reminder set",
    READY: "that is booked",
    STILL_HERE: "that is booked",
}


def _could_get(what: str) -> QuerySet[Visit]:
    rows = visits_with_names().order_by("-number")
    if what in (INVOICE_DUE, INVOICE_LATE):
        return rows.filter(invoices__isnull=False, owner__is_business=what == INVOICE_LATE).distinct()
    if what == SERVICE:
        return rows.filter(service_reminder__isnull=False)
    return rows if what in WHEN_READY else rows.filter(starts_at__isnull=False)
