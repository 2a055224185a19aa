"""A machine's gearing as it was written down with its measures."""

from __future__ import annotations

from garage.core.machines.gearing import NOT_SAID, Gearing, gearing_of
from garage.models.owners import Machine


def gearing_on_file(machine: Machine) -> Gearing | None:
    """Each part its own, or else its kind's. None unless all are known."""
    own = {name: getattr(machine, name) for name in NOT_SAID}
    kinds = {name: getattr(machine.kind, name, empty) for name, empty in NOT_SAID.items()}
    return gearing_of({name: kinds[name] if value in (None, "") else value for name, value in own.items()})
