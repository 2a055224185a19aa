"""What job card and invoice take beside the typesetter alone: `python -m tests.bench.papers tests/bench/papers.md`."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.servers import resting_garage

MOST = 1.3
MEASURE = "from tests.bench import papers_measured; papers_measured.main()"
HEAD = """# What job card and invoice on paper take

Made by `make bench`. A closed card with 20 parts, and its invoice. *Ours* is all from the rows to the PDF. For the card
that is the whole request: session, person, shop, page, code, template, and tags for screen readers. For the invoice:
rows read, template, the invoice for programs, and PDF/A-3b with that inside. *The typesetter alone* is WeasyPrint on
the same final HTML and style sheet, without tags or anything inside. *Same options* is WeasyPrint on the same HTML as
we ask it. CPU seconds, median of {times} in turn, in one process that has made each once before, on SQLite. Aim: ours
at most {most} times the typesetter alone.

| paper | pages | ours, CPU s | the typesetter alone | times | same options | times |
|---|---|---|---|---|---|---|
"""


def note() -> str:
    with TemporaryDirectory() as folder, resting_garage(Path(folder)) as garage:
        garage.manage("migrate", "--verbosity", "0")
        said = garage.manage("shell", "--no-imports", "--command", MEASURE)
    found = json.loads(said.splitlines()[-1])
    rows = "".join(
        f"| {one['paper']} | {one['pages']} | {one['ours_s']:.3f} | {one['alone_s']:.3f} "
        f"| {one['ours_s'] / one['alone_s']:.2f} | {one['same_s']:.3f} | {one['ours_s'] / one['same_s']:.2f} |\n"
        for one in found["papers"]
    )
    return HEAD.format(times=found["times"], most=MOST) + rows


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(note(), encoding="utf-8")
