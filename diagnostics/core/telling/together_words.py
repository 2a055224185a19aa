"""Answers that point to a fault together, and answers that contradict each other, in words for the workshop."""

from __future__ import annotations

from collections.abc import Sequence

from diagnostics.core.bank.bank import Bank
from diagnostics.core.judging.speak_together import ADD_UP, SAY_THE_SAME, STRENGTHEN, Together
from diagnostics.core.telling.judgement_words import quoted


def together_words(bank: Bank, group: Together) -> tuple[str, str]:
    """The faults, and their support: the answers, what they are worth together, and what points away from it."""
    faults = " or ".join(bank.fault(fault).say for fault in group.faults)
    worth = f"{_percent(group.chance)} with them, {_percent(group.without)} without."
    against = [quoted(bank, answer) for answer in group.against]
    verb = "point" if len(against) > 1 else "points"
    sentences = [
        f"{_and([quoted(bank, answer) for answer in group.answers])} point to it together: {worth}",
        _HOW_WORDS[group.how],
        f"{_and(against)} {verb} away from it." if against else "",
    ]
    return faults, " ".join(sentence for sentence in sentences if sentence)


def contradiction_words(bank: Bank, pair: Sequence[str]) -> str:
    said = _and([quoted(bank, answer) for answer in pair])
    return f"{said} contradict each other: one of them is a slip, or two things are wrong. Ask again."


_HOW_WORDS = {
    ADD_UP: "",
    SAY_THE_SAME: "They partly say the same thing, so leaving one out changes little.",
    STRENGTHEN: "Each makes the other stronger.",
}


def _and(parts: Sequence[str]) -> str:
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)


def _percent(chance: float) -> str:
    return f"{chance * 100:.0f}%"
