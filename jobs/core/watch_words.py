"""What an owner is told to watch once a machine goes home, from what was done."""

from __future__ import annotations

from garage.core.errors import BadInput
from garage.core.text.languages import in_figures, told, told_later
from jobs.core.runs.air import Air, richer_percent

COLD_C = 0.0  # a frosty morning, to say what the same jets mean then
ALWAYS = told_later(
    "If it sounds, smells or pulls unlike it did when you took it home, stop and ring us: that costs less than riding "
    "on."
)
ON_THE_ROLLERS = told_later(
    "Figures from rollers compare with each other on the same rollers. Others read differently, and so does the road."
)
KEEP_IT = told_later("Another pipe, air filter, fuel or oil wants another set-up: leave jets and timing as they are.")


def watch_words(*, main_jet: tuple[str, str] | None, air: Air | None) -> list[str]:
    """main_jet: a smaller one that was put in, as what came out and what went in. air: of the last run.

    >>> watch_words(main_jet=None, air=None) == [ALWAYS]
    True
    """
    said = [_leaner_jet(*main_jet)] if main_jet else []
    if cold := _in_the_cold(air):
        said.append(cold)
    if said:
        said.append(told(KEEP_IT))
    return [*said, told(ALWAYS)]


def _leaner_jet(before: str, after: str) -> str:
    return told(
        "It has a smaller main jet: {after} in place of {before}. If it runs hot, pinks or goes flat with the "
        "throttle wide open, shut the throttle and ring us before you ride on.",
        after=after,
        before=before,
    )


def _in_the_cold(air: Air | None) -> str:
    if air is None or air.temperature_c <= COLD_C:
        return ""
    try:
        cold = Air(air.pressure_hpa, COLD_C, air.humidity_percent)
    except BadInput:
        return ""
    leaner = -richer_percent(cold, air)
    return told(
        "It was set up in air of {then} °C. At {cold} °C the air is denser and the same jets are about {leaner} % "
        "leaner (square-root rule, a rule of thumb): take it easy on full throttle on a frosty day.",
        then=in_figures(f"{air.temperature_c:g}"),
        cold=f"{COLD_C:g}",
        leaner=f"{leaner:.0f}",
    )
