"""Which packers in stock would bring a machine's pickup level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from diagnostics.core.timing.packers import PackerStack, packers
from diagnostics.core.timing.strobe_words import PACKER_CARE
from diagnostics.models.gates import Gate
from diagnostics.reads.gates import gates_with_readings, taking_gate
from garage.core.text.packer_words import mm_words, stack_words
from garage.models.owners import Machine
from garage.models.packers import PackerStock
from garage.models.visits import Visit
from garage.reads.shop import packers_in_stock, packers_mm


@dataclass(frozen=True)
class PackersShown:
    """gate: the machine's newest readings, if they advance and the machine is here; otherwise None. taken: packers
    already taken for them, in words. stack: worked out from the heights typed in, or None.
    """

    machine: Machine
    gate: Gate | None
    taken: str
    stock: tuple[PackerStock, ...]
    stack: PackerStack | None = None
    care: tuple[str, ...] = PACKER_CARE

    @property
    def may_take(self) -> bool:
        return self.gate is not None and not self.taken

    @property
    def chosen_mm(self) -> tuple[str, ...]:
        """The stack, or the nearest if there is none."""
        if self.stack is None:
            return ()
        return tuple(str(one) for one in self.stack.stack_mm or self.stack.nearest_mm or ())

    @property
    def chosen_words(self) -> str:
        return stack_words([Decimal(one) for one in self.chosen_mm])

    @property
    def left_over_words(self) -> str:
        """How much the stack is too little or too much, in mm."""
        left = Decimal(str(round(self.stack.left_over_mm, 6))) if self.stack else Decimal(0)
        if not left:
            return "Exactly level."
        return f"{mm_words(abs(left))} {'too little' if left > 0 else 'too much'}."


def packers_shown(machine: Machine, gates: Sequence[Gate]) -> PackersShown:
    """gates: the machine's gates with readings, newest first."""
    gate = taking_gate(gates)
    taken = stack_words([Decimal(one) for one in gate.packers_mm]) if gate and gate.packers_mm else ""
    return PackersShown(machine, gate, taken, tuple(packers_in_stock()))


def level_asked(visit: Visit) -> PackersShown | None:
    """If the strobe readings of this visit show that the pickup is not level with the magnets; otherwise None."""
    gates = gates_with_readings(visit.machine)
    gate = taking_gate(gates)
    return packers_shown(visit.machine, gates) if gate and gate.visit_id == visit.pk else None


def worked_out(pickup_mm: Decimal, magnet_mm: Decimal) -> PackerStack:
    """From the stock. Raises BadInput naming pickup_mm or magnet_mm."""
    return packers(pickup_mm, magnet_mm, packers_mm())
