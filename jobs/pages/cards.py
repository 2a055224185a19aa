"""The cards of the machines in the building: whose clock runs first, then by what waits for a hand."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Prefetch

from garage.core import states
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.models.cards import Card, Labour
from jobs.models.parts import PartOrder

# Being worked on, then to be worked on, then what waits for somebody else.
_ORDER = (
    states.ON_THE_ROLLERS,
    states.ON_THE_BENCH,
    states.HERE,
    states.WAITING_FOR_PARTS,
    states.WAITING_FOR_OWNER,
    states.READY,
)


@dataclass(frozen=True)
class CardLineShown:
    """clocks: those that run on it. is_mine: one of them is the reader's own. waits_for: parts ordered, not come."""

    visit: Visit
    clocks: tuple[Labour, ...]
    waits_for: tuple[PartOrder, ...]
    is_mine: bool


def cards_in_the_building(person: Person) -> list[CardLineShown]:
    """Three queries, however many machines stand here."""
    clocks = Labour.objects.filter(ended_at=None).select_related("by")
    orders = PartOrder.objects.filter(came_at=None, off_at=None)
    rows = Visit.objects.filter(state__in=_ORDER).select_related("machine", "kind", "owner", "card")
    rows = rows.prefetch_related(
        Prefetch("card__labour", clocks, to_attr="running"), Prefetch("part_orders", orders, to_attr="ordered")
    )
    shown = [_line(visit, person) for visit in rows]
    return sorted(shown, key=lambda line: (not line.is_mine, _ORDER.index(line.visit.state), line.visit.number))


def _line(visit: Visit, person: Person) -> CardLineShown:
    card: Card | None = getattr(visit, "card", None)
    clocks: list[Labour] = getattr(card, "running", [])
    ordered: list[PartOrder] = getattr(visit, "ordered", [])
    return CardLineShown(visit, tuple(clocks), tuple(ordered), any(clock.by_id == person.pk for clock in clocks))
