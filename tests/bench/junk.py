"""Junk to every form and link on both databases: `python -m tests.bench.junk 20000 tests/bench/junk.md`."""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.postgresql import new_postgresql_database, postgresql_server
from tests.prepared import ROOT, manage

SEED = 17
HEAD = """# Junk posted to every form and link

Made by `make bench`. Seeded posts and links with junk in their fields: days and instants at both ends of time, sums,
digits of other scripts, NUL, 4,400 digits, text that is too long, fields missing, sent twice, or files instead.
Wrong is an answer of 500, a field that loses what was typed into it, or a page that no longer opens.

| database | posts | forms | wrong | answered |
|---|---|---|---|---|
"""


def walked(data: Path, database_url: str, posts: int, seed: int) -> dict[str, object]:
    """What one walk says, on a garage with the demo. Nobody waits for its tasks: their broker is in memory."""
    kept = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "EMAIL_URL")}
    given = {"DATA": str(data), "BROKER_URL": "memory://", "LOG_LEVEL": "CRITICAL"}
    environment = kept | given | {"DJANGO_SETTINGS_MODULE": "garage.settings"}
    if database_url:
        environment["DATABASE_URL"] = database_url
    command = [sys.executable, "-m", "tests.bench.junk_walk", str(posts), str(seed)]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    if done.returncode:
        raise RuntimeError(done.stderr)
    return json.loads(done.stdout)


def _row(database: str, said: dict) -> str:
    answered = ", ".join(f"{how} {count:,}" for how, count in sorted(said["answered"].items()))
    return f"| {database} | {said['posts']:,} | {said['forms']} | {said['answered'].get('wrong', 0)} | {answered} |\n"


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("posts", type=int)
    asked.add_argument("report", type=Path)
    given = asked.parse_args()
    report, wrong = HEAD, []
    with postgresql_server() as address:
        for database in ("SQLite", "PostgreSQL"):
            with TemporaryDirectory() as folder:
                url = "" if database == "SQLite" else new_postgresql_database(address)
                manage(Path(folder), "prepare", "--demo", "first", database_url=url)
                said = walked(Path(folder), url, given.posts, SEED)
            report += _row(database, said)
            wrong += said["wrong"]
    given.report.write_text(report)
    print(report, *wrong, sep="\n")  # noqa: T201
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
