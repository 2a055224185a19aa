"""What a do-not-run rule means, in words. Common practice, no source."""

from __future__ import annotations

from diagnostics.core.judging.judgement import Judgement

_MEANS = (  # by the findings that fire the rule, each sentence said once
    (("remarks=leaks-petrol",), "Petrol leaks: a spark or a hot exhaust is enough to set it alight."),
    (
        ("pinking=yes",),
        "Rattling under load is the charge burning too early or all at once: it can hole a piston in a minute.",
    ),
    (("nipped=yes",), "A piston that has nipped up once grips again under load, sooner and harder."),
    (("plug=speckled",), "Specks on the plug are metal from the piston: it has already begun to melt."),
    (("strobe_idle", "strobe_peak"), "Timing that is too early, or climbs with the revs, overheats the piston."),
    (
        ("fuel=wrong-mix",),
        "With too little oil in the petrol, piston and bearings run dry. Drain it, and fill in a fresh, right mix.",
    ),
    (
        ("plug=white", "changed", "falls_back", "half_choke", "trouble", "fuel_flow"),
        "Two signs of running lean: a lean two-stroke overheats and seizes at full throttle.",
    ),
)
STAYS_OFF = (
    "It has no roller time, and nobody holds it at full throttle, until the bench has found the cause, put it right "
    "and answered the finding again."
)


def rule_means(judgement: Judgement) -> tuple[str, ...]:
    """What the rules that stopped it mean, and what follows; empty if none did."""
    if not judgement.stops:
        return ()
    said = [words for findings, words in _MEANS if any(_is_one_of(stop, findings) for stop in judgement.stops)]
    return (*said, STAYS_OFF)


def _is_one_of(stop: str, findings: tuple[str, ...]) -> bool:
    """findings: "id=value", or an id for any value."""
    return stop in findings or stop.partition("=")[0] in findings
