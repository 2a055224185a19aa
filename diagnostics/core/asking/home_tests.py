"""What an owner may try at home: the questions of the check sheet whose tests say most about the likely faults."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from diagnostics.core.bank.bank import Bank, Question
from garage.core.text.languages import told

# Something is done at the machine, not remembered. The rev-out is not among them: it is asked again in any case.
DONE_AT_HOME = ("plug", "new_plug", "half_choke", "earths", "kill_lead", "fuel_flow", "kick")
MOST_TESTS, MOST_FAULTS = 4, 4  # as many as are read on a telephone; common practice, no source
WORTH_NAMING = 0.05  # least chance of a fault that the owner is told of; common practice, no source


def home_tests(asked: Iterable[Question], chances: Mapping[str, float], most: int = MOST_TESTS) -> tuple[Question, ...]:
    """Those done at the machine, best first: by the chance that one of the likely faults shows itself.

    asked: the questions that may be asked of this machine; what must not be tried is not among them. chances: by fault,
    0 to 1.
    """
    shown = [(_shows(question, chances), question) for question in asked if question.id in DONE_AT_HOME]
    best = sorted((one for one in shown if one[0] > 0), key=lambda one: -one[0])
    return tuple(question for _, question in best[:most])


def likely_faults(bank: Bank, chances: Mapping[str, float], most: int = MOST_FAULTS) -> tuple[str, ...]:
    """The names of the likeliest faults, likeliest first, without figures, in the language in force."""
    likely = sorted(
        (fault for fault in bank.faults if _chance(fault.id, chances) >= WORTH_NAMING),
        key=lambda fault: -chances[fault.id],
    )
    return tuple(told(fault.say) for fault in likely[:most])


def _shows(question: Question, chances: Mapping[str, float]) -> float:
    return sum(_chance(fault, chances) * max(shows.values(), default=0.0) for fault, shows in question.shows.items())


def _chance(fault: str, chances: Mapping[str, float]) -> float:
    return chances.get(fault, 0.0)
