"""What an owner told beside the questions, in words; and what to ask about it on the telephone."""

from __future__ import annotations

from diagnostics.core.remarks import BRAKES_OR_TYRES, LEAKS_PETROL, NO_EXHAUST, NOT_RUN_IN
from garage.core.text.languages import told, told_later

REMARK_WORDS = {
    LEAKS_PETROL: told_later("It leaks petrol"),
    NOT_RUN_IN: told_later("A cylinder or piston is not yet run in"),
    NO_EXHAUST: told_later("There is no exhaust on it"),
    BRAKES_OR_TYRES: told_later("Its brakes or tyres are not safe to ride on"),
}
TO_ASK_WORDS = {
    NOT_RUN_IN: "How far has it run since the new cylinder or piston, and how is it to be run in?",
    NO_EXHAUST: "Which exhaust goes on, and is it on before it comes?",
    BRAKES_OR_TYRES: "What is wrong with the brakes or tyres, and who puts that right?",
}


def remark_words(remark: str) -> str:
    """In the language in force; an id from an older edition is shown as it is.

    >>> remark_words("no-exhaust"), remark_words("rusty")
    ('There is no exhaust on it', 'rusty')
    """
    return told(REMARK_WORDS[remark]) if remark in REMARK_WORDS else remark
