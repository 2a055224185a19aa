"""What a new garage has so far, and the first roller time that it could sell."""

from __future__ import annotations

from collections import Counter
from datetime import datetime

from garage.core.money import to_pence
from garage.core.selling.setting_up import Begun, Lack, WorkerDays, lacks
from garage.models.people import Person
from garage.models.shop import BENCH, ROLLER, OpeningHours, Shop, Station, VisitKind
from garage.models.start_code import StartCode
from garage.reads.free import first_free
from garage.reads.people import workers


def is_empty() -> bool:
    """Nobody has set it up yet: there is neither shop nor boss."""
    return not (Person.objects.exists() or Shop.objects.exists())


def start_code() -> StartCode | None:
    """Of an empty garage, until it is used."""
    return StartCode.objects.first()


def begun(shop: Shop) -> Begun:
    stations = Counter(Station.objects.values_list("kind", flat=True))
    return Begun(
        name=shop.name,
        address=shop.address,
        telephone=shop.telephone,
        email=shop.email,
        rollers=stations[ROLLER],
        benches=stations[BENCH],
        open_weekdays=frozenset(OpeningHours.objects.values_list("weekday", flat=True)),
        workers=[
            WorkerDays(row.does_bench, row.does_rollers, frozenset(day.weekday for day in row.hours.all()))
            for row in workers().prefetch_related("hours")
        ],
        session_pence=[to_pence(kind.price) for kind in _sessions()],
        labour_pence=to_pence(shop.labour_per_hour),
    )


def missing(shop: Shop) -> tuple[Lack, ...]:
    return lacks(begun(shop))


def first_session(shop: Shop, *, now: datetime) -> tuple[VisitKind, datetime] | None:
    """The first time on the rollers that could be sold online, and of what. None if there is none."""
    kinds = _sessions()
    found = [(at, kind) for kind, at in zip(kinds, first_free(kinds, shop, now=now), strict=True) if at]
    at, kind = min(found, key=lambda pair: pair[0], default=(None, None))
    return (kind, at) if kind and at else None


def roller_kind() -> VisitKind | None:
    """The roller session that setting up is about: the first on the front page."""
    return VisitKind.objects.filter(at=ROLLER).first()


def _sessions() -> list[VisitKind]:
    return list(VisitKind.objects.filter(at=ROLLER, is_offered=True))
