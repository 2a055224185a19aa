"""The empty test database, migrated once and then copied: each change that mutmut makes would migrate it again.

Only the copies that tests/bench/mutants.py works on take it up.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import setup_databases
from pytest_django import DjangoDbBlocker

KEPT = Path(__file__).resolve().parent.parent.parent.parent / "kept.sqlite3"  # beside the folder that mutmut makes


@pytest.fixture(scope="session")
def django_db_setup(django_test_environment: None, django_db_blocker: DjangoDbBlocker) -> None:
    """As pytest-django's fixture of this name, with the tables from the file where there is one."""
    with django_db_blocker.unblock():
        if KEPT.exists():
            connection.settings_dict["NAME"] = connection.creation._get_test_db_name()
            connection.ensure_connection()
            with closing(sqlite3.connect(KEPT)) as kept:
                kept.backup(connection.connection)
        else:
            setup_databases(verbosity=0, interactive=False)
            with closing(sqlite3.connect(KEPT)) as kept:
                connection.connection.backup(kept)
