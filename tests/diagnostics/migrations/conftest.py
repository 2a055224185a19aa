"""What a test of a migration leaves behind for the tests after it."""

from collections.abc import Iterator

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor


@pytest.fixture
def migrated_again(transactional_db: None) -> Iterator[None]:
    """The database as it was: the newest migration of every room, for going back in one takes others back with it."""
    yield
    executor = MigrationExecutor(connection)
    executor.migrate(executor.loader.graph.leaf_nodes())
