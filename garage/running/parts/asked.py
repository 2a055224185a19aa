"""Whether a part works, for a container's health check: `python -m garage.running.parts.asked web`, or worker, hearing,
beat. The web server is asked for /readyz; the others are known by their signs. No Django here.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

from garage.running import running_lock
from garage.running.parts import signs
from garage.running.parts.answering import status_of
from garage.running.parts.workers import BEAT_QUIET_S, WORKER_QUIET_S

READY = "/readyz"
SIGNS_OF: Mapping[str, tuple[str, float]] = {
    running_lock.WORKER: (signs.WORKER, WORKER_QUIET_S),
    running_lock.HEARING: (signs.HEARING_WORKER, WORKER_QUIET_S),
    running_lock.BEAT: (signs.BEAT, BEAT_QUIET_S),
}


def works(part: str, *, data: Path, port: int, site_url: str) -> bool:
    if part == running_lock.WEB:
        return status_of(READY, host="127.0.0.1", port=port, site_url=site_url) == 200
    name, quiet_limit_s = SIGNS_OF[part]
    return signs.given_within(data, name, quiet_limit_s)


def main(arguments: Sequence[str], environment: Mapping[str, str]) -> int:
    """The exit status: 0 if it works, 1 if it doesn't, 2 for a part that there is not."""
    if len(arguments) != 1 or arguments[0] not in running_lock.EVERY:
        return 2
    site_url = environment.get("SITE_URL", "http://127.0.0.1:8000")
    return not works(arguments[0], data=Path(environment.get("DATA", "var")), port=8000, site_url=site_url)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:], os.environ))
