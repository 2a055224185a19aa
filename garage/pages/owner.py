"""One owner: machines, visits and what was changed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from garage.models.owners import Machine, Owner
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from garage.reads.owners import machines_of, trail_of, visits_of


@dataclass(frozen=True)
class OwnerPage:
    owner: Owner
    machines: Iterable[Machine]
    visits: Iterable[Visit]
    trail: Iterable[TrailRow]


def owner_page(owner: Owner) -> OwnerPage:
    return OwnerPage(owner, machines_of(owner), visits_of(owner), trail_of(owner))
