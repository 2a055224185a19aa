"""What needs mending in the whole garage: the computer, the programs, and what the rows of each room say."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from diagnostics.hearing.reads.heard import visits_not_heard
from garage.core.computer.mending import Trouble, troubles
from garage.pages.mending import machine_facts, with_since
from garage.reads.mending import latest_written_at, mail_that_waits
from garage.running.brokers.broker import why_away
from jobs.reads.chain import last_check

MOST_SAID = 5  # sentences on the page


def all_troubles(*, now: datetime) -> list[Trouble]:
    """The worst first."""
    facts = replace(
        machine_facts(now=now),
        broker_away=why_away(),
        mail=mail_that_waits(),
        clips=visits_not_heard(),
        latest_written=latest_written_at(),
        book=_book(),
    )
    return with_since(troubles(facts, now=now))


def _book() -> tuple[list[str], int, datetime | None]:
    """As the last look through it found."""
    check = last_check()
    return (check.faults[:MOST_SAID], check.fault_count, check.at) if check else ([], 0, None)
