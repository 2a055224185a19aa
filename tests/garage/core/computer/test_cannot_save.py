"""What a database says when nothing can be saved is told from a fault of our own."""

import pytest

from garage.core.computer.cannot_save import CannotSave, why_of_database


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("database is locked", CannotSave.LOCKED),
        ("database or disk is full", CannotSave.FULL),
        ("disk I/O error", CannotSave.FULL),
        ("attempt to write a readonly database", CannotSave.READ_ONLY),
        ("unable to open database file", CannotSave.READ_ONLY),
        ('connection to server at "127.0.0.1", port 5432 failed: Connection refused', CannotSave.AWAY),
        ("no such column: nothing", None),
    ],
)
def test_what_a_database_says_is_understood(said, why):
    assert why_of_database(said) is why
