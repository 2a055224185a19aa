"""Wakes a task by name once the transaction is through; the row is there already, so a lost wake only costs a sweep."""

from celery import current_app
from django.db import transaction


def wake(task: str, *args: object) -> None:
    """task: its full name, as "garage.tasks.send_due". A broker that is away never fails the page."""
    transaction.on_commit(lambda: current_app.send_task(task, args=args, retry=False), robust=True)
