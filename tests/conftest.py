"""What every test can ask for, and what no test may touch: the data of a garage that is used for real."""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from celery import current_app
from django.test import override_settings

from tests import servers

KEPT_DRAWERS = {"changes", "models", "reads", "migrations"}  # what they do must hold on both kinds of database


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What is kept is tested on both databases: whole drawers by their folder, other tests by their own mark."""
    for item in items:
        if KEPT_DRAWERS & set(item.path.parent.parts):
            item.add_marker(pytest.mark.both_databases)


@pytest.fixture(autouse=True, scope="session")
def _a_broker_of_the_tests_own() -> None:
    """Tasks sent by name go to a broker in memory that nobody reads: no test writes into a garage's broker folder."""
    current_app.conf.update(
        broker_url="memory://", broker_read_url="memory://", broker_write_url="memory://", broker_transport_options={}
    )


@pytest.fixture(autouse=True, scope="session")
def _settings_of_the_tests_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Photos and papers go to a folder that is thrown away; passwords are hashed quickly."""
    folder = tmp_path_factory.mktemp("data")
    folders = {"DATA": folder, "MEDIA_ROOT": folder / "media", "STATIC_ROOT": folder / "static"}
    for path in folders.values():
        path.mkdir(exist_ok=True)
    with override_settings(**folders, PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]):
        yield


@pytest.fixture(scope="session")
def postgresql_address() -> Iterator[str]:
    """A PostgreSQL for the whole session: "postgres://tickover@127.0.0.1:PORT", without a database name."""
    with servers.postgresql_server() as address:
        yield address


@pytest.fixture(scope="session")
def redis_address() -> Iterator[str]:
    with servers.redis_server() as address:
        yield address


@pytest.fixture(scope="session")
def _redis_numbers() -> Iterator[int]:
    """Each started garage has a numbered part of Redis for itself; a Redis has 16 of them, numbered from 0."""
    return itertools.cycle(range(1, 16))


@pytest.fixture
def live_tickover(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Callable[..., servers.LiveTickover]]:
    """Starts the real production server, as in start(database="postgresql", broker="redis", demo="first")."""
    with contextlib.ExitStack() as started:
        numbers = itertools.count(1)

        def start(database: str = "sqlite", broker: str = "filesystem", **choices: object) -> servers.LiveTickover:
            addresses = {"database_url": "", "broker_url": ""}
            if database == "postgresql":
                address = request.getfixturevalue("postgresql_address")
                addresses["database_url"] = servers.new_postgresql_database(address)
            if broker == "redis":
                number = next(request.getfixturevalue("_redis_numbers"))
                addresses["broker_url"] = request.getfixturevalue("redis_address").removesuffix("/0") + f"/{number}"
            data = choices.pop("data", tmp_path / f"garage-{next(numbers)}")
            return started.enter_context(servers.live_tickover(data, **addresses, **choices))

        yield start
