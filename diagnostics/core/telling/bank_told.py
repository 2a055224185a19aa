"""A question of the bank as its owner reads it: in the language in force. Its numbers and ids stay."""

from __future__ import annotations

from dataclasses import replace

from diagnostics.core.bank.bank import Choice, Question
from garage.core.text.languages import ENGLISH, language_in_force, told


def told_question(question: Question) -> Question:
    """For pages only: what is judged or kept is the bank's own. `manage.py messages` collects the bank's texts."""
    if language_in_force() == ENGLISH:
        return question
    return replace(
        question,
        ask=told(question.ask),
        how=tuple(map(told, question.how)),
        cautions=tuple(map(told, question.cautions)),
        answers=tuple(Choice(choice.id, told(choice.say)) for choice in question.answers),
        unit=told(question.unit) if question.unit else "",
    )
