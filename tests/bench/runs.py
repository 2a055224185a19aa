"""What a logger’s file of 100,000 rows takes, in time and memory: `python -m tests.bench.runs tests/bench/runs.md`.

Each way of reading runs in a process of its own, so that its peak of memory is its own.
"""

from __future__ import annotations

import csv
import io
import resource
import subprocess
import sys
import time
from pathlib import Path

import numpy as np

from jobs.core.runs.logger.column_names import guesses
from jobs.core.runs.logger.logger_table import read_head
from jobs.core.runs.reading_a_run import AskedOfFile, read_run
from jobs.core.runs.rollers import Rollers

ROWS, COLUMNS, TIMES = 100_000, 8, 5
RUN, BARE = "run", "bare"
HEAD = """# What importing a roller run takes

Made by `make bench`. A file of 100,000 rows and eight columns, semicolons and decimal commas, two lines of names and
units: 20 s of road speed at 5,000 readings a second, with a run-down. *Import* is all from the bytes to the curve:
text, guesses, numbers, smoothing, losses, grid. *Bare* decodes, reads by `csv` into lists, and makes one NumPy array of
all of it, with the comma replaced: no names, no holes, no curve. Median of five, each in a process of its own.

| | CPU, s | peak memory, MB | target |
|---|---|---|---|
"""


def logged() -> bytes:
    """From 60 to 100 km/h in 15 s, then down; seeded noise."""
    chance = np.random.default_rng(20)
    t = np.arange(ROWS) / 5000
    speed = 60 + 40 * np.minimum(t, 15) / 15 - 5 * np.maximum(t - 15, 0) + chance.normal(0, 0.01, ROWS)
    columns = [t, speed, speed * 90, 13 + 0.1 * np.sin(t), *(chance.normal(2, 0.1, ROWS) for _ in range(COLUMNS - 4))]
    rows = (";".join(f"{cell:.4f}" for cell in row).replace(".", ",") for row in zip(*columns, strict=True))
    return ("Time;Speed;Engine speed;AFR;a;b;c;d\ns;km/h;1/min;-;V;V;V;V\n" + "\n".join(rows)).encode()


def imported(raw: bytes) -> None:
    read_run(raw, AskedOfFile(guesses(read_head(raw).columns), Rollers(6.25, 500), None, 0.2, adds_losses=True))


def bare(raw: bytes) -> None:
    rows = list(csv.reader(io.StringIO(raw.decode().replace(",", ".")), delimiter=";"))
    np.array(rows[2:], dtype=np.float64)


def measured(way: str, path: str) -> tuple[float, float]:
    """CPU seconds, and the peak of the process in MB."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.runs", way, path], capture_output=True, text=True, check=True
    )
    seconds, megabytes = map(float, done.stdout.split())
    return seconds, megabytes


def note(path: str) -> str:
    found = {way: np.median([measured(way, path) for _ in range(TIMES)], axis=0) for way in (RUN, BARE)}
    ratio = found[RUN][0] / found[BARE][0]
    return (
        HEAD
        + f"| import | {found[RUN][0]:.2f} | {found[RUN][1]:.0f} | under 2 s, under 200 MB |\n"
        + f"| bare | {found[BARE][0]:.2f} | {found[BARE][1]:.0f} | |\n"
        + f"\nThe import takes {ratio:.2f} times what the bare reading takes.\n"
    )


def main(given: list[str]) -> None:
    if given[0] in (RUN, BARE):
        raw = Path(given[1]).read_bytes()
        began = time.process_time()
        (imported if given[0] == RUN else bare)(raw)
        peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
        sys.stdout.write(f"{time.process_time() - began} {peak_mb}\n")
        return
    path = Path(given[0]).with_suffix(".csv")
    path.write_bytes(logged())
    Path(given[0]).write_text(note(str(path)), encoding="utf-8")
    path.unlink()


if __name__ == "__main__":
    main(sys.argv[1:])
