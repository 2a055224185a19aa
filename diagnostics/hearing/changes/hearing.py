"""Which clip is heard next, by whom, and what becomes of one whose worker died."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from django.utils import timezone

from diagnostics.hearing.changes.clips import could_not_hear
from diagnostics.hearing.decoding.in_hand import in_hand
from diagnostics.models.clips import Clip

MOST_TRIES = 3  # a clip that ends its worker each time is given up; common practice, no source
GIVEN_UP = "The clip broke the program that listens, {tries} times over."


@contextmanager
def taken_up() -> Iterator[Clip | None]:
    """The clip that waited longest, ours until the block ends; one whose worker died waits again from that moment.

    A clip that broke its worker too often is said to be so first.
    """
    for clip in Clip.objects.filter(state__in=(Clip.WAITS, Clip.WORKING)).order_by("at", "id"):
        with in_hand(clip.file.path) as is_ours:
            if not is_ours:
                continue
            if clip.tries >= MOST_TRIES:
                could_not_hear(clip.pk, GIVEN_UP.format(tries=clip.tries))
            elif begun := begin_hearing(clip, timezone.now()):
                yield begun
                return
    yield None


def begin_hearing(clip: Clip, now: datetime) -> Clip | None:
    """None where another worker was quicker, or the clip was deleted: the row itself decides, in one statement."""
    as_seen = Clip.objects.filter(pk=clip.pk, state=clip.state, tries=clip.tries)
    if not as_seen.update(state=Clip.WORKING, begun_at=now, tries=clip.tries + 1):
        return None
    return Clip.objects.select_related("visit__machine__kind").get(pk=clip.pk)
