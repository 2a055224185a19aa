"""What an owner told beside the questions, in words; and what to ask about it on the telephone."""

from __future__ import annotations

from diagnostics.core.remarks import BRAKES_OR_TYRES, LEAKS_PETROL, NO_EXHAUST, NOT_RUN_IN

REMARK_WORDS = {
    LEAKS_PETROL: "It leaks petrol",
    NOT_RUN_IN: "A cylinder or piston is not yet run in",
    NO_EXHAUST: "There is no exhaust on it",
    BRAKES_OR_TYRES: "Its brakes or tyres are not safe to ride on",
}
TO_ASK_WORDS = {
    NOT_RUN_IN: "How far has it run since the new cylinder or piston, and how is it to be run in?",
    NO_EXHAUST: "Which exhaust goes on, and is it on before it comes?",
    BRAKES_OR_TYRES: "What is wrong with the brakes or tyres, and who puts that right?",
}


def remark_words(remark: str) -> str:
    """An id from an older edition is shown as it is.

    >>> remark_words("no-exhaust"), remark_words("rusty")
    ('There is no exhaust on it', 'rusty')
    """
    return REMARK_WORDS.get(remark, remark)
