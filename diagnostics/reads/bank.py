"""The bank in force: the file beside the code, read and checked once in a process."""

from functools import cache
from pathlib import Path

from diagnostics.core.bank import Bank
from diagnostics.core.bank_reader import read_bank

FIRST_EDITION = Path(__file__).resolve().parent.parent / "bank" / "first.toml"


@cache
def the_bank() -> Bank:
    """Raises BadInput with the full path of what is wrong in the file."""
    return read_bank(FIRST_EDITION.read_text(encoding="utf-8"))
