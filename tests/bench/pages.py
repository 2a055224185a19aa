"""Pages of a garage of five years, on both databases, beside bare views that run the same SQL and write the same bytes.

`python -m tests.bench.pages 20000 tests/bench/pages.md`.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from tests.postgresql import new_postgresql_database, postgresql_server
from tests.servers import Garage, resting_garage

HEAD = """# Pages of a garage of five years

Made by `make bench`. {many} closed visits drawn over five years (tests/bench/five_years.py), in one process, the page
and its bare view in turn, the quickest of 25. *Bare* is a view behind the same middleware that runs the same SQL and
writes the same bytes, without models and templates (aim: at most 2.5 times as long). *Queries* are those of the whole
request, its session, person and shop included, and before the stroke those at a tenth of the visits.
"""
TABLE = "\n## {kind}\n\n| page | queries | kB | ms | bare, ms | times |\n|---|---|---|---|---|---|\n"
MEASURE = "from tests.bench import pages_measured; pages_measured.main({many})"


def measured(data: Path, database_url: str, many: int) -> dict[str, Any]:
    with resting_garage(data, database_url) as garage:
        garage.manage("migrate", "--verbosity", "0")
        found: dict[str, Any] = json.loads(_said(garage, MEASURE.format(many=many)).splitlines()[-1])
        return found


def _said(garage: Garage, code: str) -> str:
    """By a program of its own: the warm one gives up on what takes minutes."""
    return garage.manage("shell", "--no-imports", "--command", code)


def rows_of(found: dict[str, Any]) -> str:
    rows = "".join(
        f"| {one['page']} | {one['few']} / {one['queries']} | {one['size'] / 1000:.0f} | {one['ms']:.0f} "
        f"| {one['bare_ms']:.1f} | {one['ms'] / one['bare_ms']:.1f} |\n"
        for one in found["pages"]
    )
    return f"{rows}\nWhat a closing, correction or come-back takes for learning: {found['closing_ms']:.0f} ms.\n"


def note(many: int) -> str:
    parts = [HEAD.format(many=many)]
    with TemporaryDirectory() as folder:
        parts += [TABLE.format(kind="SQLite"), rows_of(measured(Path(folder), "", many))]
    with TemporaryDirectory() as folder, postgresql_server() as address:
        found = measured(Path(folder), new_postgresql_database(address), many)
        parts += [TABLE.format(kind="PostgreSQL"), rows_of(found)]
    return "".join(parts)


if __name__ == "__main__":
    Path(sys.argv[2]).write_text(note(int(sys.argv[1])), encoding="utf-8")
