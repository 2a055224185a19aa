"""Which clip is heard next, by whom, and what becomes of one whose worker died."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from diagnostics.changes.clips import could_not_hear
from diagnostics.models.clips import Clip

MOST_TRIES = 3  # a clip that ends its worker each time is given up; common practice, no source
DIED_AFTER = timedelta(minutes=5)  # longer than the task's hard limit: nobody works on it any more
GIVEN_UP = "The clip broke the program that listens, {tries} times over."


def claim_next(now: datetime | None = None) -> Clip | None:
    """The clip that waited longest, now in our hands; one that broke its worker too often is said to be so first."""
    now = now or timezone.now()
    for clip in _due(now).filter(tries__gte=MOST_TRIES):
        could_not_hear(clip.pk, GIVEN_UP.format(tries=clip.tries))
    for clip in _due(now):
        if begun := begin_hearing(clip.pk, now):
            return begun
    return None


@transaction.atomic
def begin_hearing(clip_id: int, now: datetime) -> Clip | None:
    """None where another worker was quicker, or the clip was deleted: the row itself decides, in one statement."""
    mine = _due(now).filter(pk=clip_id)
    tries = mine.values_list("tries", flat=True).first()
    if tries is None or not mine.filter(tries=tries).update(state=Clip.WORKING, begun_at=now, tries=tries + 1):
        return None
    return Clip.objects.select_related("visit__machine__kind").get(pk=clip_id)


def _due(now: datetime) -> QuerySet[Clip]:
    died = Q(state=Clip.WORKING, begun_at__lt=now - DIED_AFTER)
    return Clip.objects.filter(Q(state=Clip.WAITS) | died).order_by("at", "id")
