"""When an owner must not do the rev-out on the stand, or any other test with the engine running hard.

Common practice, no source: an engine that has nipped up or rattles may seize at full throttle, leaking petrol may catch
fire, a cylinder that is not yet run in may scuff, and an engine without its exhaust runs lean and deafens.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from diagnostics.core.findings import Case
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.core.remarks import BRAKES_OR_TYRES, LEAKS_PETROL, NO_EXHAUST, NOT_RUN_IN
from diagnostics.core.stops import fired_rules
from diagnostics.core.telling.remark_words import REMARK_WORDS, remark_words
from garage.core.text.languages import told, told_later

ASKED_BEFORE = ("changed", "nipped", "pinking")  # must be answered before the test is offered
IS_AUTOMATIC = "is_automatic"  # marks the machine as an automatic; the other tests may still be done
REMARK_OF = {  # the ticks that are remarks
    "leaks_petrol": LEAKS_PETROL,
    "not_run_in": NOT_RUN_IN,
    "no_exhaust": NO_EXHAUST,
    "brakes_or_tyres": BRAKES_OR_TYRES,
}
TICKS = {tick: REMARK_WORDS[remark] for tick, remark in REMARK_OF.items()}
TICKS |= {IS_AUTOMATIC: told_later("It is an automatic: no neutral")}
RULES_IT_OUT = (LEAKS_PETROL, NOT_RUN_IN, NO_EXHAUST)  # remarks; the wheel stands still, so brakes and tyres do not
TICKS_THAT_RULE_IT_OUT = (*(tick for tick, remark in REMARK_OF.items() if remark in RULES_IT_OUT), IS_AUTOMATIC)
RUNS_THE_ENGINE = (
    REV_OUT,
    "half_choke",
    "kill_lead",
    "strobe_idle",
    "strobe_peak",
)  # left to the bench while anything keeps it from being run
RUNS_IT_HARD = tuple(question for question in RUNS_THE_ENGINE if question != "strobe_idle")
AUTOMATIC = told_later("It is an automatic and has no neutral: we do this test here, with the wheel clear and guarded.")
STOPPED = told_later("What you’ve told us so far suggests that full throttle may harm it.")
_STANDING = {
    "nipped": told_later("It has nipped up since it last ran right."),
    "pinking": told_later("It rattles or pinks under load."),
}


def why_not(case: Case, *, is_stopped: bool = False) -> tuple[str, ...]:
    """The reasons why the owner must not do the rev-out, as sentences; empty if it may be done.

    is_stopped: whether something else than these findings keeps it from being run hard.

    >>> from diagnostics.core.findings import Costs, MachineFacts
    >>> costs = Costs(9000, 2500, 600, 75)
    >>> why_not(Case("", MachineFacts(), "set-up", costs, {"nipped": "yes"}, remarks=("leaks-petrol",)))
    ('It has nipped up since it last ran right.', 'It leaks petrol.')
    """
    reasons = (told(AUTOMATIC),) if case.machine.gearbox == "automatic" else ()
    return (*reasons, *why_not_run(case, is_stopped=is_stopped))


def why_not_run(case: Case, *, is_stopped: bool = False) -> tuple[str, ...]:
    """The reasons why the owner must not run the engine for any test, as sentences; empty if none is known."""
    stopped = [told(sentence) for question, sentence in _STANDING.items() if case.answers.get(question) == "yes"]
    remarks = [f"{remark_words(remark)}." for remark in case.remarks if remark in RULES_IT_OUT]
    may_harm = bool(fired_rules(replace(case, remarks=()))) or (is_stopped and not remarks)
    return (*(stopped or ([told(STOPPED)] if may_harm else [])), *remarks)


def is_too_hard_to_ask_for(question_id: str, case: Case) -> bool:
    """Whether a remark rules out even asking: somebody might go and try it. A reading at tickover harms nothing."""
    return question_id in RUNS_IT_HARD and any(remark in RULES_IT_OUT for remark in case.remarks)


def first_to_ask(done: Collection[str]) -> str | None:
    """The first question still to be answered before the rev-out."""
    return next((question for question in ASKED_BEFORE if question not in done), None)
