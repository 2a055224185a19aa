"""Clips that cannot be heard are of no use to anybody after a while."""

from __future__ import annotations

from datetime import datetime, timedelta

from diagnostics.hearing.changes.clips import delete
from diagnostics.hearing.models.clips import Clip
from garage.core.errors import Refused
from garage.models.actors import SYSTEM

UNHEARD_KEPT = timedelta(days=1)  # after it was tried: long enough to read why, and to listen to it oneself


def forget_unheard(now: datetime) -> int:
    """Deletes clips that cannot be heard, but not those of which a person has said what they hear. Says how many."""
    forgotten = 0
    for clip in Clip.objects.filter(state=Clip.NOT_HEARD, own_verdict="", begun_at__lt=now - UNHEARD_KEPT):
        try:
            delete(clip, by=SYSTEM, now=now)
        except Refused:  # a person was quicker
            continue
        forgotten += 1
    return forgotten
