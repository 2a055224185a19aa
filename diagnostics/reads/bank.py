"""The bank in use: the file beside the code, read and checked once per process."""

from functools import cache
from pathlib import Path

from diagnostics.core.bank.bank import Bank, Question
from diagnostics.core.bank.reader import read_bank
from garage.core.errors import BadInput

BANK_FILE = Path(__file__).resolve().parent.parent / "bank" / "second.toml"


@cache
def the_bank() -> Bank:
    """Raises BadInput with the full path of whatever is wrong in the file."""
    return read_bank(BANK_FILE.read_text(encoding="utf-8"))


def bank_trouble() -> str:
    """Why the bank cannot be used, in one sentence with the file's name; empty if it can."""
    try:
        the_bank()
    except BadInput as bad:
        return f"Tickover cannot start: in the bank {BANK_FILE}: {bad.sentence}"
    return ""


def question_or_none(question_id: str) -> Question | None:
    return next((question for question in the_bank().questions if question.id == question_id), None)
