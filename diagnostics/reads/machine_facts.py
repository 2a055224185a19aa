"""What is known of a machine, keys as in the manual of `assess`."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from diagnostics.models.sheets import Sheet
from garage.models import owners
from garage.models.visits import Visit

FACTS = (
    *("fires_per_turn", "gearbox", "ignition", "fed_by", "oiling", "tap"),
    *("spec_btdc", "spec_curve", "curve_deg", "design_rpm"),
)


def machine_facts(machine: owners.Machine) -> dict[str, Any]:
    """The machine's own measures take precedence over those of its kind."""
    own, kinds = _facts(machine), _facts(machine.kind) if machine.kind else {}
    if own.get("spec_curve", kinds.get("spec_curve")) != kinds.get("spec_curve"):
        kinds.pop("curve_deg", None)  # it belongs to a different curve
    return kinds | own


def facts_of(visit: Visit, sheet: Sheet | None) -> dict[str, Any]:
    """The machine's facts. If its gearbox is unknown, the owner may have said that it is an automatic."""
    facts = machine_facts(visit.machine)
    if sheet is not None and sheet.is_automatic:
        facts.setdefault("gearbox", "automatic")
    return facts


def _facts(row: owners.Measures) -> dict[str, Any]:
    values = {name: getattr(row, name) for name in FACTS}
    return {
        name: float(value) if isinstance(value, Decimal) else value
        for name, value in values.items()
        if value not in (None, "")
    }
