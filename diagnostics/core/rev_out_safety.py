"""When an owner must not do the rev-out on the stand, or any other test with the engine running hard.

Common practice, no source: an engine that has nipped up or rattles may seize at full throttle, leaking petrol may catch
fire, a cylinder that is not yet run in may scuff, and an engine without its exhaust runs lean and deafens.
"""

from __future__ import annotations

from collections.abc import Collection

from diagnostics.core.findings import Case
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.core.stops import fired_rules

ASKED_BEFORE = ("changed", "nipped", "pinking")  # must be answered before the test is offered
TICKS = {
    "leaks_petrol": "It leaks petrol",
    "not_run_in": "A cylinder or piston is not yet run in",
    "no_exhaust": "There is no exhaust on it",
    "is_automatic": "It is an automatic: no neutral",
}
RUNS_THE_ENGINE = (
    REV_OUT,
    "half_choke",
    "kill_lead",
    "strobe_idle",
    "strobe_peak",
)  # left to the bench if anything is ticked
AUTOMATIC = "It is an automatic and has no neutral: we do this test here, with the wheel clear and guarded."
STOPPED = "What you’ve told us so far suggests that full throttle may harm it."
IS_AUTOMATIC = "is_automatic"  # marks the machine as an automatic; the other tests may still be done
_STANDING = {
    "nipped": "It has nipped up since it last ran right.",
    "pinking": "It rattles or pinks under load.",
}


def why_not(case: Case, ticks: Collection[str]) -> tuple[str, ...]:
    """The reasons why the owner must not do the rev-out, as sentences; empty if it may be done.

    >>> from diagnostics.core.findings import Costs, MachineFacts
    >>> why_not(Case("", MachineFacts(), "set-up", Costs(9000, 2500, 600, 75), {"nipped": "yes"}), ["leaks_petrol"])
    ('It has nipped up since it last ran right.', 'It leaks petrol.')
    """
    reasons = [AUTOMATIC] if case.machine.gearbox == "automatic" else []
    stopped = [sentence for question, sentence in _STANDING.items() if case.answers.get(question) == "yes"]
    reasons += stopped or ([STOPPED] if fired_rules(case) else [])
    return (*reasons, *(f"{words}." for tick, words in TICKS.items() if tick in ticks and tick != IS_AUTOMATIC))


def first_to_ask(done: Collection[str]) -> str | None:
    """The first question still to be answered before the rev-out."""
    return next((question for question in ASKED_BEFORE if question not in done), None)
