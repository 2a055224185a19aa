"""Background tasks of the diagnostics room. Each may run twice, since it looks up what is due."""

from celery import shared_task
from django.utils import timezone

from diagnostics.changes import learning


@shared_task(name="diagnostics.tasks.count_by_a_new_bank")
def count_by_a_new_bank() -> None:
    learning.count_by_a_new_bank(now=timezone.now())


@shared_task(name="diagnostics.tasks.look_through_closed_cards")
def look_through_closed_cards() -> None:
    learning.look_through(now=timezone.now())
