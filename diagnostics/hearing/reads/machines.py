"""What the hearing has to know of the machine in a clip."""

from __future__ import annotations

from diagnostics.core.judging.heard_chances import limiter_share, reached_share
from diagnostics.hearing.models.clips import Clip
from diagnostics.reads.bank import the_bank
from diagnostics.reads.machine_facts import machine_facts
from garage.models.visits import Visit


def fires_per_turn_of(clip: Clip) -> float:
    """As its machine is known now; one, as a two-stroke single fires, where that is not known."""
    return float(machine_facts(clip.visit.machine).get("fires_per_turn", 1.0))


def design_rpm_of(visit: Visit) -> float | None:
    found = machine_facts(visit.machine).get("design_rpm")
    return None if found is None else float(found)


def limiter_share_of(visit: Visit, ceiling_rpm: float | None) -> float | None:
    """How far a heard ceiling is taken for the machine's own limiter, 0 to 1; None: nothing to compare."""
    return limiter_share(the_bank().hearing, design_rpm_of(visit), ceiling_rpm)


def reached_share_of(visit: Visit, peak_rpm: float | None) -> float:
    """How much of a clip that revs out counts by the speed that it holds, 0 to 1."""
    return reached_share(the_bank().hearing, design_rpm_of(visit), peak_rpm)
