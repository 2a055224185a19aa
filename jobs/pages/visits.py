"""The list of visits, with what is usually done to each of them from there."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from garage.core import states
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.models.book import Invoice
from jobs.reads.book import unpaid_of


@dataclass(frozen=True)
class VisitRow:
    """unpaid: the invoice with something left to pay, for whoever takes money."""

    visit: Visit
    unpaid: Invoice | None

    @property
    def is_coming(self) -> bool:
        return self.visit.state in states.COMING


def visit_rows(visits: Collection[Visit], person: Person) -> list[VisitRow]:
    unpaid = unpaid_of(visits) if person.handles_money else {}
    return [VisitRow(visit, unpaid.get(visit.pk)) for visit in visits]
