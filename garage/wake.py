"""Wakes a task by name once the transaction commits. A sweep finds the row anyway, so a lost wake only costs time."""

from celery import current_app
from django.db import transaction


def wake(task: str, *args: object) -> None:
    """task: its full name, as "garage.tasks.send_due". An unreachable broker never fails the page."""
    transaction.on_commit(lambda: current_app.send_task(task, args=args, retry=False), robust=True)
