"""A PostgreSQL database copied and put back by its own programs, pg_dump, pg_restore and psql."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import IO, Any

from django.db import connection
from psycopg.conninfo import make_conninfo
from psycopg.pq import Conninfo

from garage.core.errors import Refused

LOCK_WAIT = "20s"  # for a table that somebody is changing just now
AS_IT_IS = ("--no-owner", "--no-privileges")  # put back by another user of the database too
# Of everything that this garage has in its database; the new rows then come in the same transaction.
EMPTIED = """
DO $$ DECLARE one record; BEGIN
  FOR one IN SELECT format('%I.%I', schemaname, tablename) AS name FROM pg_tables WHERE schemaname = current_schema()
  LOOP EXECUTE 'DROP TABLE ' || one.name || ' CASCADE'; END LOOP;
  FOR one IN SELECT oid::regprocedure AS name FROM pg_proc WHERE pronamespace = current_schema()::regnamespace
    AND NOT EXISTS (SELECT FROM pg_depend WHERE objid = pg_proc.oid AND deptype = 'e')
  LOOP EXECUTE 'DROP FUNCTION ' || one.name || ' CASCADE'; END LOOP;
END $$;
"""


def size_bytes() -> int:
    """More than a dump of it takes, which has no indexes and is packed."""
    return int(_one("SELECT pg_database_size(current_database())"))


def others_connected() -> int:
    return int(
        _one(
            "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() "
            "AND pid <> pg_backend_pid() AND backend_type = 'client backend'"
        )
    )


def copy(to: Path) -> None:
    """As it is at one moment: pg_dump reads everything in one transaction. Raises Refused with its own words."""
    with os.fdopen(os.open(to, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        _run("pg_dump", "--format=custom", *AS_IT_IS, f"--lock-wait-timeout={LOCK_WAIT}", _to_database(), into=file)
    check(to)


def check(path: Path) -> None:
    """Reads all of it. Raises Refused for what pg_restore cannot read."""
    with open(os.devnull, "wb") as nowhere:
        _run("pg_restore", *AS_IT_IS, "--file=-", str(path), into=nowhere)


def put_in_place(dump: Path, *, folder: Path) -> None:
    """All or nothing, in one transaction. folder: where the statements are written first."""
    statements = folder / "restore.sql"
    with statements.open("wb") as file:
        file.write(EMPTIED.encode())
        file.flush()
        _run("pg_restore", *AS_IT_IS, "--file=-", str(dump), into=file)
    options = ("--no-psqlrc", "--quiet", "--single-transaction", "--set=ON_ERROR_STOP=1")
    with open(os.devnull, "wb") as nowhere:
        _run("psql", *options, f"--file={statements}", _to_database(), into=nowhere)


def _one(statement: str) -> Any:
    with connection.cursor() as cursor:
        cursor.execute(statement)
        return cursor.fetchone()[0]


def _to_database() -> str:
    """The password goes another way: arguments can be read by everybody on the machine."""
    given = {key: value for key, value in _parameters().items() if key != "password"}
    return f"--dbname={make_conninfo(**given)}"


def _parameters() -> dict[str, Any]:
    """What Django connects with, as far as PostgreSQL's own programs know it too."""
    known = {option.keyword.decode() for option in Conninfo.get_defaults()}
    return {key: value for key, value in connection.get_connection_params().items() if key in known}


def _run(program: str, *arguments: str, into: IO[bytes]) -> None:
    command = [_found(program), *arguments]
    password = _parameters().get("password")
    environment = os.environ | {"LC_ALL": "C.UTF-8"} | ({"PGPASSWORD": str(password)} if password else {})
    done = subprocess.run(command, stdout=into, stderr=subprocess.PIPE, env=environment, check=False)  # noqa: S603
    if done.returncode:
        raise Refused(f"{program} says: {_first_complaint(done.stderr)}")


def _found(program: str) -> str:
    path = shutil.which(program)
    if path is None:
        raise Refused(
            f"{program} is not on this computer. It comes with PostgreSQL's client programs (Debian and Ubuntu: "
            "postgresql-client), which must be as new as the database server."
        )
    return path


def _first_complaint(said: bytes) -> str:
    lines: Sequence[str] = [line for line in said.decode(errors="replace").splitlines() if line.strip()]
    errors = [line for line in lines if "error" in line.lower() or "fatal" in line.lower()]
    return (errors or lines or ["no reason given"])[0].strip().rstrip(".") + "."
