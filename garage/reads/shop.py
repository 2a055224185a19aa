"""The shop: its settings, stations, kinds and packers."""

from datetime import UTC, date, datetime
from decimal import Decimal

from django.db.models import Q, QuerySet

from garage.core.selling.kept_free import KeptFree
from garage.core.time.closed_runs import ClosedRun, ListedDay, closed_runs
from garage.core.time.local_time import LocalTime
from garage.models.owners import MachineKind
from garage.models.packers import PackerStock
from garage.models.shop import ClosedDay, KeptTime, OpeningHours, Shop, Station, VisitKind
from garage.models.trail import TrailRow

SHOWN_TRAIL = 30
MOST_OF_ONE_IN_A_STACK = 30  # no stack holds more of one thickness: it would raise a plate higher than any is raised


def shop_or_none() -> Shop | None:
    return Shop.objects.first()


def the_shop() -> Shop:
    return Shop.objects.get()


def local_time() -> LocalTime:
    """The shop's local time, or UTC while there is no shop."""
    shop = shop_or_none()
    return shop.local_time if shop else LocalTime(UTC)


def today(*, now: datetime) -> date:
    return local_time().day(now)


def opening() -> dict[int, OpeningHours]:
    """By weekday. A missing day is closed every week."""
    return {row.weekday: row for row in OpeningHours.objects.all()}


def kept_free() -> KeptFree:
    """The minutes that are kept free, by weekday and place."""
    return {(row.weekday, row.at): row.minutes for row in KeptTime.objects.all()}


def closed_days(since: date) -> tuple[ClosedRun, ...]:
    rows = ClosedDay.objects.filter(day__gte=since)
    return closed_runs(ListedDay(row.pk, row.day, row.why, row.open_after_all) for row in rows)


def closed_with(row: ClosedDay, since: date) -> list[ClosedDay]:
    """The days that follow each other for the same reason, this one among them."""
    numbers = next(run for run in closed_days(since) if row.pk in {day.number for day in run.days})
    return list(ClosedDay.objects.filter(pk__in=[day.number for day in numbers.days]))


def every_station() -> QuerySet[Station]:
    return Station.objects.order_by("-kind", "number")


def visit_kinds() -> QuerySet[VisitKind]:
    return VisitKind.objects.all()


def machine_kinds() -> QuerySet[MachineKind]:
    return MachineKind.objects.all()


def packers_in_stock() -> QuerySet[PackerStock]:
    return PackerStock.objects.all()


def packers_mm() -> list[Decimal]:
    """Each packer that may go into a stack, one entry per packer."""
    return [row.thickness_mm for row in packers_in_stock() for _ in range(min(row.count, MOST_OF_ONE_IN_A_STACK))]


def trail() -> QuerySet[TrailRow]:
    """Changes of the shop and its people, the newest first, as many as a page shows."""
    return TrailRow.objects.filter(Q(about="the shop") | Q(about__startswith="person "))[:SHOWN_TRAIL]
