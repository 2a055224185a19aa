"""Where a machine in the building is: set here alone, by work at a station and by hand."""

from __future__ import annotations

from garage.changes.day import planned_steps
from garage.core import states
from garage.models.visits import Visit
from garage.reads.shop import the_shop


def is_now(visit: Visit, state: str) -> None:
    """Inside a change only, with the visit locked. A machine that comes off the rollers is out of its straps: the
    gate's second part is passed again before it is run there again, and has its minutes in the plan.
    """
    states.check_move(visit.state, state)
    was_let_run = visit.state == states.ON_THE_ROLLERS and visit.gate_passed_at is not None
    visit.state = state
    if was_let_run:
        visit.gate_passed_at = None
        planned_steps.need_another_gate(visit, the_shop())
    visit.save(update_fields=["state", "gate_passed_at"])
