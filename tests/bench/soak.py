"""The whole garage at random, on both databases: `python -m tests.bench.soak 1800 tests/bench/soak.md`."""

from __future__ import annotations

import argparse
import json
import os
import random
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.postgresql import new_postgresql_database, postgresql_server
from tests.prepared import ROOT, manage

DAYS = 30
HEAD = """# The whole garage at random

Made by `make bench`. Owners, desk, mechanics, boss and clock for a month at a time, over the real pages, each month
from a seed of its own (`tests/soak/month.py`). After each answer and each sweep it is looked at whether a minute is
sold twice, a visit is in two states or in one that may not follow, a message went out twice or not at all, numbers of
invoices have gaps, the book has what the till took, and whether anything runs on the rollers that must not.
A wrong month is begun again by `--seed`.

"""


def month(data: Path, database_url: str, seed: int) -> dict:
    """What one month says. Nobody waits for its tasks: the soak calls them itself."""
    kept = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "EMAIL_URL")}
    given = {"DATA": str(data), "BROKER_URL": "memory://", "LOG_LEVEL": "CRITICAL"}
    environment = kept | given | {"DJANGO_SETTINGS_MODULE": "garage.settings"}
    if database_url:
        environment["DATABASE_URL"] = database_url
    command = [sys.executable, "-m", "tests.bench.soak_month", str(seed), str(DAYS)]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    if done.returncode:
        raise RuntimeError(done.stderr)
    return json.loads(done.stdout)


def written(months: list[tuple[str, dict]]) -> str:
    rows = ["| database | seed | days | s of the processor | wrong |", "|---|---|---|---|---|"]
    for database, said in months:
        rows.append(
            f"| {database} | {said['seed']} | {said['days']} | {said['cpu_s']} | {'yes' if said['wrong'] else 'no'} |"
        )
    tables = []
    for name in ("did", "reached", "moves", "answered"):
        summed: Counter[str] = sum((Counter(said[name]) for _, said in months), Counter())
        tables.append(f"{name}: " + ", ".join(f"{what} {count:,}" for what, count in sorted(summed.items())) + ".")
    wrong = [f"```\n{said['wrong']}\n```" for _, said in months if said["wrong"]]
    return HEAD + "\n".join(rows) + "\n\n" + "\n\n".join([*tables, *wrong]) + "\n"


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("seconds", type=float, help="no month is begun after them")
    asked.add_argument("report", type=Path)
    asked.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6), help="of the first month")
    given = asked.parse_args()
    print(f"The first seed is {given.seed}.", flush=True)  # noqa: T201
    months: list[tuple[str, dict]] = []
    until_s, seed = time.monotonic() + given.seconds, given.seed
    with postgresql_server() as address:
        while time.monotonic() < until_s or not months:
            for database in ("SQLite", "PostgreSQL"):
                with TemporaryDirectory() as folder:
                    url = "" if database == "SQLite" else new_postgresql_database(address)
                    manage(Path(folder), "prepare", "--demo", "never", database_url=url)
                    months.append((database, month(Path(folder), url, seed)))
                given.report.write_text(written(months))
            seed += 1
    sys.exit(1 if any(said["wrong"] for _, said in months) else 0)


if __name__ == "__main__":
    main()
