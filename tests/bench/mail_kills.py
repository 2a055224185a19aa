"""Worker and broker killed at random moments: `python -m tests.bench.mail_kills 40 tests/bench/mail_kills.md`."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from random import Random
from statistics import median
from tempfile import TemporaryDirectory

from tests.mail_kills import Found, OwnWorker, Redis, Run
from tests.postbox import postbox
from tests.postgresql import new_postgresql_database, postgresql_server
from tests.prepared import prepare
from tests.servers import resting_garage

SEED = 170
EACH, WITHIN_S, STARTING = 40, 4.0, 0.25  # messages at a moment; s after the first mail; share while it still starts
HEAD = """# Messages through kills of worker and broker

Made by `make bench`. While messages are written, the worker with its beat, or the Redis, is ended by SIGKILL at random
moments and started again within a second; on files the worker is the broker. The mail server writes down what comes
and takes up to 0.1 s for each. One in four moments comes while the worker still starts, the others up to 4 s after its
first mail. A message in hand when its worker is killed goes again once its lease of five minutes is over. Seconds are
from written to sent, outages included.

"""


def _cells(found: Found) -> dict[str, object]:
    return {
        "kills": ", ".join(f"{kind} {count}" for kind, count in sorted(found.killed.items())),
        "workers that ended by themselves": found.fell,
        "messages written": found.written,
        "never arrived": found.written - len(found.arrived),
        "in hand when a worker was killed": len(found.cut_off),
        "arrived more than once": len(found.repeated),
        "of these not in hand at a kill": len(found.repeated - found.cut_off),
        "of these under another Message-ID": sum(len(ids) > 1 for ids in found.numbers.values()),
        "not in hand: median s, 95 in 100, longest": _seconds(found.waited_s),
        "in hand: median s, 95 in 100, longest": _seconds(found.cut_off_waited_s),
    }


def _seconds(waited_s: Sequence[float]) -> str:
    if not waited_s:
        return "none"
    return f"{median(waited_s):.1f}, {waited_s[int(0.95 * (len(waited_s) - 1))]:.0f}, {waited_s[-1]:.0f}"


def table(found: Mapping[str, Found]) -> str:
    """found: by the name of database and broker."""
    cells = {name: _cells(one) for name, one in found.items()}
    lines = [["", *cells], ["---"] * (1 + len(cells))]
    lines += [[row, *(str(one[row]) for one in cells.values())] for row in next(iter(cells.values()))]
    return "".join(f"| {' | '.join(line)} |\n" for line in lines)


def killed(database: str, moments: int, postgresql: str) -> Found:
    """One garage with its own broker, through so many moments."""
    with TemporaryDirectory(ignore_cleanup_errors=True) as folder, postbox() as box:
        data, redis = Path(folder) / "garage", None
        url = new_postgresql_database(postgresql) if database == "PostgreSQL" else ""
        prepare(data, url)
        with resting_garage(data, url) as garage:
            garage.environment["EMAIL_URL"] = box.url
            if url:
                redis = Redis(Path(folder))
                garage.environment["BROKER_URL"] = redis.url
                redis.start()
            try:
                run = Run(garage, box, OwnWorker(garage), redis, Random(SEED))
                return run.through(moments, each=EACH, within_s=WITHIN_S, starting=STARTING)
            finally:
                if redis:
                    redis.kill()


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("moments", type=int, help="of both brokers together")
    asked.add_argument("report", type=Path)
    given = asked.parse_args()
    found = {}
    with postgresql_server() as address:
        for database, broker in (("SQLite", "files"), ("PostgreSQL", "Redis")):
            found[f"{database}, {broker}"] = killed(database, given.moments // 2, address)
    report, faults = HEAD + table(found), [fault for one in found.values() for fault in one.faults]
    given.report.write_text(report)
    print(report, *faults, sep="\n")  # noqa: T201
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
