"""Row locks for changes. The order is always: a visit, then days in their order, then the shop (for a number).

On SQLite a transaction is exclusive from its start. On PostgreSQL these rows make concurrent changes wait.
"""

from __future__ import annotations

from datetime import date

from django.db.models import Max

from garage.models.shop import Shop
from garage.models.visits import Day, Visit


def visit_for_change(visit: Visit) -> Visit:
    """The visit as it is now, locked until the transaction ends."""
    Visit.objects.select_for_update().values_list("pk").get(pk=visit.pk)
    return Visit.objects.select_related("owner", "machine__kind", "kind").get(pk=visit.pk)


def days_for_change(*days: date) -> None:
    """Locks these local days, so that everybody who sells a time on them waits in turn."""
    wanted = sorted(set(days))
    for day in wanted:
        Day.objects.get_or_create(day=day)
    list(Day.objects.select_for_update().filter(day__in=wanted).order_by("day"))


def shop_for_change() -> None:
    """Whoever counts something that the whole shop has only so many of waits in turn."""
    Shop.objects.select_for_update().get()


def next_visit_number() -> int:
    """One more than the highest. The lock on the shop's row keeps two bookings from getting the same number."""
    shop_for_change()
    return (Visit.objects.aggregate(highest=Max("number"))["highest"] or 0) + 1
