"""Background tasks of the diagnostics room. Each may run twice, since it looks up what is due."""

from celery import shared_task
from django.conf import settings
from django.utils import timezone

from diagnostics.changes import learning
from garage.running.alone import alone


@shared_task(name="diagnostics.tasks.count_by_a_new_bank")
def count_by_a_new_bank() -> None:
    """It takes longer than the time to its next sweep in a garage with many cards."""
    with alone(settings.DATA / "counting.lock") as is_alone:
        if is_alone:
            learning.count_by_a_new_bank(now=timezone.now())


@shared_task(name="diagnostics.tasks.look_through_closed_cards")
def look_through_closed_cards() -> None:
    learning.look_through(now=timezone.now())
