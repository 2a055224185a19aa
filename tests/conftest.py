"""What every test can ask for, and what no test may touch: the data of a garage that is used for real."""

from __future__ import annotations

import contextlib
import gc
import itertools
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from _pytest.doctest import DoctestModule
from celery import current_app
from django.contrib.auth import user_logged_in
from django.db import connection
from django.http import HttpRequest
from django.test import override_settings
from django.utils import timezone
from threadpoolctl import threadpool_limits
from whitenoise.middleware import WhiteNoiseMiddleware
from xdist.remote import Producer

from garage.core.planning.solving import improving
from garage.models.sessions import PROVED
from tests import servers
from tests.postgresql import new_postgresql_database, postgresql_server
from tests.prepared import PREPARED, copied, copied_into_memory, once, prepare, prepare_postgresql
from tests.side_by_side import FromBothEnds

# A plugin of pytest imports NumPy before the settings can say, as they do for a garage, that one thread is enough.
threadpool_limits(1, user_api="blas")

ASKS_THE_DATABASE = {"db", "transactional_db"}  # pytest-django's fixtures
KEPT_DRAWERS = {"changes", "models", "reads", "pages", "migrations"}  # what they do must hold on both kinds of database


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Where only the tests for both databases are asked for, a file that cannot have one is not even read in."""
    if config.getoption("markexpr") != "both_databases" or collection_path.suffix != ".py":
        return None
    if KEPT_DRAWERS & set(collection_path.parent.parts) or "both_databases" in collection_path.read_text("utf-8"):
        return None
    return True


@pytest.hookimpl(wrapper=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> Iterator[None]:
    """What is kept is tested on both databases: whole drawers by their folder, other tests by their own mark.

    A test that may not ask the test database is the same on both. Files with a long test come first, the longest before
    the others, or one core would still be at them when the other has done all the rest.
    """
    for item in items:
        if KEPT_DRAWERS & set(item.path.parent.parts) and _may_ask_the_database(item):
            item.add_marker(pytest.mark.both_databases)
    yield  # those that are not asked for go, the rest is shuffled
    minutes: dict[Path, float] = {}
    for item in items:
        if mark := item.get_closest_marker("long"):
            minutes[item.path] = max(mark.kwargs.get("minutes", 0.5), minutes.get(item.path, 0))
    items.sort(key=lambda item: -minutes.get(item.path, 0))


def _may_ask_the_database(item: pytest.Item) -> bool:
    """Any other is stopped by pytest-django when it asks. What starts a garage of its own says itself on which."""
    return bool(item.get_closest_marker("django_db") or ASKS_THE_DATABASE & set(getattr(item, "fixturenames", ())))


def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> FromBothEnds | None:
    return FromBothEnds(config, log) if config.getoption("dist") == "loadfile" else None


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Iterator[object]:
    """What is made while tests are collected stays to the end: the collector of garbage need never look through it."""
    gc.disable()
    done = yield
    gc.freeze()
    gc.enable()
    return done


@pytest.hookimpl(wrapper=True)
def pytest_collect_file(file_path: Path) -> Iterator[object]:
    """Examples stand in the rooms' code, not in tests. A helper is still read in, so one that cannot be is noticed."""
    found = yield
    if not file_path.name.startswith("test_"):
        return found
    return [each for each in found if not isinstance(each, DoctestModule)]


@pytest.fixture(autouse=True, scope="session")
def _a_broker_of_the_tests_own() -> None:
    """Tasks sent by name go to a broker in memory that nobody reads: no test writes into a garage's broker folder."""
    current_app.conf.update(
        broker_url="memory://", broker_read_url="memory://", broker_write_url="memory://", broker_transport_options={}
    )


@pytest.fixture(autouse=True, scope="session")
def _whoever_is_logged_in_by_force_has_just_given_their_password() -> None:
    """As at a real log-in, so that no test is asked for it again unless it is about that."""

    def proved(request: HttpRequest, **_: object) -> None:
        request.session[PROVED] = timezone.now().isoformat()

    user_logged_in.connect(proved, weak=False)


@pytest.fixture(autouse=True, scope="session")
def _static_files_are_looked_for_once() -> Iterator[None]:
    """Each browser of a test has middleware of its own, which would look for all of them again."""
    kept: dict[str, object] = {}
    look = WhiteNoiseMiddleware.add_files_from_finders

    def looked_for_once(self: WhiteNoiseMiddleware) -> None:
        if not kept:
            others, self.files = self.files, {}
            look(self)
            kept.update(self.files)
            self.files = others
        self.files |= kept

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(WhiteNoiseMiddleware, "add_files_from_finders", looked_for_once)
        yield


@pytest.fixture(autouse=True, scope="session")
def _no_clock_cuts_a_plan() -> Iterator[None]:
    """The planner's work is counted; its clock, the last resort, would end it sooner on a machine busy with tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(improving, "CLOCK_SHARE", 20 * improving.CLOCK_SHARE)
        yield


@pytest.fixture(autouse=True, scope="session")
def _settings_of_the_tests_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Photos and papers go to a folder that is thrown away; passwords are hashed quickly."""
    folder = tmp_path_factory.mktemp("data")
    folders = {
        "DATA": folder,
        "MEDIA_ROOT": folder / "media",
        "STATIC_ROOT": folder / "static",
        "BACKUPS": folder / "backups",
    }
    for path in folders.values():
        path.mkdir(exist_ok=True)
    with override_settings(**folders, PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]):
        yield


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None, request: pytest.FixtureRequest
) -> Iterator[None]:
    """The database of the tests begins as a copy of the one that the run has migrated: Django finds nothing left to do.

    A run in one program has nobody to share with, and migrates its own.
    """
    with contextlib.ExitStack() as kept_open:
        if "PYTEST_XDIST_WORKER" in os.environ:
            if connection.vendor == "sqlite":
                kept = request.getfixturevalue("prepared_data") / "tickover.sqlite3"
                name = kept_open.enter_context(copied_into_memory(kept))
                connection.settings_dict["TEST"]["NAME"] = name
            else:
                connection.settings_dict["TEST"]["TEMPLATE"] = request.getfixturevalue("prepared_here")
        yield


@pytest.fixture(scope="session")
def prepared_here(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The name of a database that is made and has nothing in it, on the PostgreSQL that this run's tests are on."""

    def make(folder: Path) -> None:
        address = new_postgresql_database(os.environ["DATABASE_URL"].rpartition("/")[0])
        prepare(folder, address)
        (folder / "name").write_text(address.rpartition("/")[2])

    return (once(tmp_path_factory, "prepared-here", make) / "name").read_text()


@pytest.fixture(scope="session")
def postgresql_address(prepared_postgresql: Path) -> Iterator[str]:
    """A PostgreSQL for the whole session: "postgres://tickover@127.0.0.1:PORT", without a database name.

    Beside what is put into it later it has PREPARED, a database that is made and has nothing in it; to be copied.
    """
    with postgresql_server(like=prepared_postgresql) as address:
        yield address


@pytest.fixture(scope="session")
def prepared_data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A garage's folder with its database made and nothing in it; to be copied."""
    return once(tmp_path_factory, "prepared-data", prepare)


@pytest.fixture(scope="session")
def prepared_postgresql(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a PostgreSQL that is stopped and has the database PREPARED; to be copied."""
    return once(tmp_path_factory, "prepared-postgresql", prepare_postgresql)


@pytest.fixture(scope="session")
def new_garage(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Callable[[str], tuple[Path, str]]:
    """Makes folder and database of a garage that has nothing in it yet, on "sqlite" or "postgresql".

    The address of the database is empty when it lies in the folder.
    """

    def make(database: str) -> tuple[Path, str]:
        data = tmp_path_factory.mktemp("garage")
        if database == "sqlite":
            return copied(request.getfixturevalue("prepared_data"), data), ""
        address = request.getfixturevalue("postgresql_address")
        return data, new_postgresql_database(address, like=PREPARED)

    return make


@pytest.fixture(scope="session")
def redis_address() -> Iterator[str]:
    with servers.redis_server() as address:
        yield address


@pytest.fixture(scope="session")
def _redis_numbers() -> Iterator[int]:
    """Each started garage has a numbered part of Redis for itself; a Redis has 16 of them, numbered from 0."""
    return itertools.cycle(range(1, 16))


@contextlib.contextmanager
def _starting(request: pytest.FixtureRequest) -> Iterator[Callable[..., servers.LiveTickover]]:
    """Starts the real production server, as in start(database="postgresql", broker="redis").

    Its database is made beforehand, unless the folder is given.
    """
    with contextlib.ExitStack() as started:

        def start(
            database: str = "sqlite", broker: str = "filesystem", data: Path | None = None, **choices: object
        ) -> servers.LiveTickover:
            data, database_url = (data, "") if data else request.getfixturevalue("new_garage")(database)
            broker_url = ""
            if broker == "redis":
                number = next(request.getfixturevalue("_redis_numbers"))
                broker_url = request.getfixturevalue("redis_address").removesuffix("/0") + f"/{number}"
            return started.enter_context(servers.live_tickover(data, database_url, broker_url, **choices))

        yield start


@pytest.fixture
def live_tickover(request: pytest.FixtureRequest) -> Iterator[Callable[..., servers.LiveTickover]]:
    """Starts a garage for one test."""
    with _starting(request) as start:
        yield start


@pytest.fixture(scope="module")
def shared_tickover(request: pytest.FixtureRequest) -> Iterator[Callable[..., servers.LiveTickover]]:
    """Starts a garage for the tests of a file: each looks at its own rows only."""
    with _starting(request) as start:
        yield start
