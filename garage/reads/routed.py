"""Visits that a judgement or a person has sent somewhere: to be put right, decided by the boss, or rung."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, TypedDict

from django.db.models import OuterRef, QuerySet, Subquery

from garage.core import routes, states
from garage.models.trail import TrailRow
from garage.models.visits import Visit

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

    class LastTry(TypedDict):
        """What to_ring() annotates each visit with."""

        last_try: datetime | None

    VisitToRing = WithAnnotations[Visit, LastTry]

NOBODY_ANSWERED = "rung, and nobody answered"  # as the trail has it
_OPEN = states.COMING | (states.IN_THE_BUILDING - {states.READY})


def _with_names() -> QuerySet[Visit]:
    return Visit.objects.select_related("owner", "machine", "kind")


def to_fix_first() -> QuerySet[Visit]:
    """Do-not-run first, then the longest waiting. A visit leaves the list once it passes the gate."""
    rows = _with_names().filter(route__in=routes.TO_FIX, state__in=_OPEN, gate_passed_at=None)
    return rows.order_by("route", "route_at", "number")  # "do-not-run" sorts before "fix-first"


def asked_of_the_boss() -> QuerySet[Visit]:
    return _with_names().filter(state__in=_OPEN).exclude(route_asked="").order_by("starts_at", "number")


def to_ring() -> QuerySet[VisitToRing]:
    """`last_try`: when the owner was last rung and nobody answered; None if that never happened."""
    tries = TrailRow.objects.filter(visit=OuterRef("pk"), did=NOBODY_ANSWERED).order_by("-at")
    rows = _with_names().filter(state__in=_OPEN).exclude(to_ask=[]).order_by("starts_at", "number")
    return rows.annotate(last_try=Subquery(tries.values("at")[:1]))


def not_answered() -> QuerySet[Visit]:
    """Whose owner was asked something and reminded, in vain. The longest first."""
    rows = _with_names().filter(asked_since__isnull=False).exclude(state__in=states.OVER)
    return rows.order_by("asked_since", "number")


def rung() -> QuerySet[Visit]:
    """The finished ones, the latest first."""
    return _with_names().filter(rung_at__isnull=False, to_ask=[]).order_by("-rung_at")
