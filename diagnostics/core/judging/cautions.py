"""What must not be done until the bench has looked. Common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping

from diagnostics.core.bank.bank import GROUPS, Bank
from diagnostics.core.findings import BREAKS_DOWN, Case
from diagnostics.core.judging.judgement import Caution, Stopped
from diagnostics.core.judging.routing import Route
from diagnostics.core.remarks import LEAKS_PETROL


def cautions_of(
    bank: Bank, case: Case, route: Route, chances: Mapping[str, float], groups: Mapping[str, float]
) -> tuple[Caution, ...]:
    """The cautions that apply, gravest first. chances: by fault; groups: by group."""
    likely = bank.fault_worth_a_caution
    ignition = groups["ignition"]
    is_likeliest = ignition >= max(groups[group] for group in GROUPS)
    stops = route.why.findings if isinstance(route.why, Stopped) else ()
    applies = {
        Caution.STOPPED: bool(stops),
        Caution.LEAK: LEAKS_PETROL in case.remarks,
        Caution.DRAIN: "fuel=wrong-mix" in stops,
        Caution.FLYWHEEL: chances.get("flywheel-key", 0) >= likely,
        Caution.NO_SMALLER_JETS: is_likeliest or ignition > bank.ignition_worth_a_caution,
        Caution.RICH_OTHERWISE: chances.get("rich-otherwise", 0) >= likely,
        Caution.LIMITER: _is_a_ceiling_without_speed(case),
        Caution.AUTOMATIC: case.machine.gearbox == "automatic",
        Caution.FOUR_STROKE: case.machine.is_four_stroke,
    }
    return tuple(caution for caution in Caution if applies[caution])


def _is_a_ceiling_without_speed(case: Case) -> bool:
    return case.heard is not None and case.heard.verdict == BREAKS_DOWN and case.machine.design_rpm is None
