"""Which clip is heard next and by whom, what was heard in it, and what becomes of one whose worker died."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from functools import partial

from django.core.files.base import File
from django.db import transaction

from diagnostics.hearing.core.heard import Heard, to_json
from diagnostics.hearing.core.heard_words import ceiling_words, verdict_words
from diagnostics.hearing.decoding.in_hand import in_hand
from diagnostics.hearing.events import clip_verdict_changed
from diagnostics.hearing.models.clips import Clip
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core import states
from garage.models.actors import SYSTEM
from garage.models.visits import Visit

HEAR = "diagnostics.hearing.tasks.hear_clips"
KEPT_AS = ".mp3"  # as decoding/playable.py writes it, which loads the codecs and is not wanted here
MOST_TRIES = 3  # a clip that ends its worker each time is given up; common practice, no source
GIVEN_UP = "This clip has crashed the program that listens to it, {tries} times over."


@contextmanager
def taken_up(*, now: datetime) -> Iterator[Clip | None]:
    """The clip that has waited longest, in hand until the block ends; None where none waits.

    A clip whose worker died waits again from that moment. One that broke its worker too often is given up.
    """
    for clip in Clip.objects.filter(state__in=(Clip.WAITS, Clip.WORKING)).order_by("at", "id"):
        with in_hand(clip.file.path) as is_ours:
            if not is_ours:
                continue
            if clip.tries >= MOST_TRIES:
                could_not_hear(clip.pk, GIVEN_UP.format(tries=clip.tries), now=now)
            elif begun := begin_hearing(clip, now):
                yield begun
                return
    yield None


def begin_hearing(clip: Clip, now: datetime) -> Clip | None:
    """None where another worker was quicker, or the clip was deleted. The row decides, in one statement."""
    as_seen = Clip.objects.filter(pk=clip.pk, state=clip.state, tries=clip.tries)
    if not as_seen.update(state=Clip.WORKING, begun_at=now, tries=clip.tries + 1):
        return None
    return Clip.objects.select_related("visit__machine__kind").get(pk=clip.pk)


@transaction.atomic
def keep(clip_id: int, heard: Heard, *, now: datetime, sound: File[bytes] | None = None) -> None:
    """What was heard in it; an open visit is judged again. sound: takes the place of what was sent, which is deleted
    with its picture and what the phone wrote into it.
    """
    found = _being_heard(clip_id)
    if found is None:
        return
    visit, clip = found
    clip.state, clip.result, clip.trouble, clip.heard_at = Clip.HEARD, to_json(heard), "", now
    if sound is not None:
        _keep_instead(clip, sound)
    clip.save(update_fields=["state", "result", "trouble", "heard_at", "file"])
    did = f"clip heard: {verdict_words(heard.verdict)}{ceiling_words(heard.ceiling_rpm)}"
    trail.about_visit(visit, did, by=SYSTEM, now=now)
    if visit.state not in states.OVER:
        clip_verdict_changed.send(sender=Clip, visit=visit, by=SYSTEM, now=now)


@transaction.atomic
def could_not_hear(clip_id: int, sentence: str, *, now: datetime) -> None:
    """sentence: why, for the owner and the workshop alike."""
    found = _being_heard(clip_id)
    if found is None:
        return
    visit, clip = found
    clip.state, clip.trouble, clip.result = Clip.NOT_HEARD, sentence[:400], None
    clip.save(update_fields=["state", "trouble", "result"])
    trail.about_visit(visit, f"clip could not be heard: {sentence}", by=SYSTEM, now=now)


def _keep_instead(clip: Clip, sound: File[bytes]) -> None:
    """If the transaction fails, what was sent stays and this file is one of no clip, which is swept."""
    storage, sent = clip.file.storage, str(clip.file.name)
    clip.file.save(f"{uuid.uuid4().hex}{KEPT_AS}", sound, save=False)
    transaction.on_commit(partial(storage.delete, sent), robust=True)


def _being_heard(clip_id: int) -> tuple[Visit, Clip] | None:
    """None once it was deleted, or another worker was done first."""
    clip = Clip.objects.filter(pk=clip_id).select_related("visit").first()
    if clip is None:
        return None
    visit = visit_for_change(clip.visit)
    clip = Clip.objects.filter(pk=clip_id, state=Clip.WORKING).first()
    return (visit, clip) if clip else None
