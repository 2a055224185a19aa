"""What must not be done until it is looked at, in plain sentences. Common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping

from diagnostics.core.bank.bank import GROUPS, Bank
from diagnostics.core.findings import Case
from diagnostics.core.judging.heard_chances import BREAKS_DOWN
from diagnostics.core.judging.routing import Route
from garage.core.routes import DO_NOT_RUN

STOPPED = (
    "Do not hold it at full throttle, on the road or on the rollers, and do not ride it hard, until the bench has "
    "looked: bring it on a trailer or in a van."
)
DRAIN = "Drain the petrol and fill fresh with the right oil in it before it runs again; cold, outdoors, no flame about."
NO_SMALLER_JETS = "Do not fit smaller jets before the ignition is put right: a lean engine seizes."
FLYWHEEL = "Do not run it before flywheel and key have been looked at: a flywheel that has moved can come off."
RICH_OTHERWISE = "Look at choke, float and air filter before a jet is changed."
LIMITER = (
    "A limiter would sound the same as this ceiling: what speed the machine holds on the stand by itself is not known."
)
FOUR_STROKE = "These rules were made for two-strokes: take them on this four-stroke as a hint only."
AUTOMATIC = "No neutral: the rev-out is the workshop's to do, drive belt off or wheel clear, guarded and short."


def cautions_of(
    bank: Bank, case: Case, route: Route, chances: Mapping[str, float], groups: Mapping[str, float]
) -> tuple[str, ...]:
    """The sentences that apply, gravest first. chances: by fault; groups: by group."""
    likely = bank.fault_worth_a_caution
    ignition = groups["ignition"]
    is_likeliest = ignition >= max(groups[group] for group in GROUPS)
    told = [
        (route.route == DO_NOT_RUN, STOPPED),
        (any("fuel=wrong-mix" in rule.findings for rule in route.fired), DRAIN),
        (chances.get("flywheel-key", 0) >= likely, FLYWHEEL),
        (is_likeliest or ignition > bank.ignition_worth_a_caution, NO_SMALLER_JETS),
        (chances.get("rich-otherwise", 0) >= likely, RICH_OTHERWISE),
        (_is_a_ceiling_without_speed(case), LIMITER),
        (case.machine.gearbox == "automatic", AUTOMATIC),
        (case.machine.is_four_stroke, FOUR_STROKE),
    ]
    return tuple(sentence for applies, sentence in told if applies)


def _is_a_ceiling_without_speed(case: Case) -> bool:
    return case.heard is not None and case.heard.verdict == BREAKS_DOWN and case.machine.design_rpm is None
