"""Visits that a judgement or a person has sent somewhere: to be put right, decided by the boss, or rung."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, NamedTuple, TypedDict

from django.db.models import OuterRef, Q, QuerySet, Subquery

from garage.core import routes, states
from garage.models.trail import TrailRow
from garage.models.visits import Visit

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

    class LastTry(TypedDict):
        """What to_ring() annotates each visit with."""

        last_try: datetime | None

    VisitToRing = WithAnnotations[Visit, LastTry]

LATEST = datetime.max.replace(tzinfo=UTC)
NOBODY_ANSWERED = "rung, and nobody answered"  # as the trail has it
_OPEN = states.COMING | (states.IN_THE_BUILDING - {states.READY})


def _with_names() -> QuerySet[Visit]:
    return Visit.objects.select_related("owner", "machine", "kind")


class Routed(NamedTuple):
    """to_fix_first: do-not-run first, then the longest waiting; a visit leaves that list once it passes the gate.
    asked_of_the_boss: the soonest first, those without a time last.
    """

    to_fix_first: tuple[Visit, ...]
    asked_of_the_boss: tuple[Visit, ...]


def routed() -> Routed:
    """Both lists with one query: a visit may stand on both."""
    rows = _with_names().filter(Q(route__in=routes.TO_FIX) | ~Q(route_asked=""), state__in=_OPEN)
    by_route = list(rows.order_by("route", "route_at", "number"))  # "do-not-run" sorts before "fix-first"
    to_fix = tuple(row for row in by_route if row.route in routes.TO_FIX and row.gate_passed_at is None)
    asked = sorted((row for row in by_route if row.route_asked), key=lambda row: (row.starts_at or LATEST, row.number))
    return Routed(to_fix, tuple(asked))


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
