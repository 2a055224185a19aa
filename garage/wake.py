"""Wakes a task by name once the transaction commits. A sweep finds the row anyway, so a lost wake only costs time."""

import logging
from time import monotonic

from celery import current_app
from django.db import transaction

QUIET_S = 10.0  # s in which a broker that could not be reached is not asked again: a page may wake ten tasks

log = logging.getLogger(__name__)


class _Trouble:
    """until_s: of the monotonic clock of this process; before, nothing is sent."""

    until_s = 0.0


def wake(task: str, *args: object) -> None:
    """task: its full name, as "garage.tasks.send_due". An unreachable broker never fails the page."""
    transaction.on_commit(lambda: _send(task, args), robust=True)


def _send(task: str, args: tuple[object, ...]) -> None:
    if monotonic() < _Trouble.until_s:
        return
    try:
        current_app.send_task(task, args=args, retry=False)
    except Exception as trouble:  # noqa: BLE001  (each kind of broker has its own, and the row is written)
        _Trouble.until_s = monotonic() + QUIET_S
        log.warning("The broker cannot be reached (%s): what waits is found by a sweep.", type(trouble).__name__)
