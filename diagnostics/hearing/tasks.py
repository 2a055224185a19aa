"""Later work of this room: clips are heard, one a task, on a queue of their own.

Each task may run twice: which clip is next is looked up anew. The child that decodes lives as long as its worker.
"""

from __future__ import annotations

from typing import Any

from celery import shared_task
from celery.exceptions import SoftTimeLimitExceeded
from celery.utils.log import get_task_logger
from django.utils import timezone

from diagnostics.hearing.changes import clips, hearing, left_overs
from diagnostics.hearing.core.hear import hear
from diagnostics.hearing.core.outline import outline
from diagnostics.hearing.decoding.decode import Decoder
from diagnostics.hearing.pages.clip import fires_per_turn_of
from diagnostics.hearing.reads.clip_words import trouble_words
from diagnostics.models.clips import Clip
from garage.core.errors import Showable
from garage.wake import wake

SOFT_LIMIT_S, HARD_LIMIT_S = 120, 150  # decoding is stopped after 60 s; then hearing takes seconds
TOO_LONG = f"clip took more than {SOFT_LIMIT_S} s to be heard; allowed is a clip of at most 3 minutes."
FAILED = "clip made the program that listens fail ({what}): please keep it, and tell who looks after the computer."

log = get_task_logger(__name__)
decoder = Decoder()  # starts its child with the first clip: one for each worker process


@shared_task(name=clips.HEAR, soft_time_limit=SOFT_LIMIT_S, time_limit=HARD_LIMIT_S)
def hear_clips() -> None:
    with hearing.taken_up() as clip:
        if clip is None:
            return
        _hear(clip)
    wake(clips.HEAR)  # the next one, if there is one


def _hear(clip: Clip) -> None:
    try:
        clips.heard(clip.pk, listened(clip))
    except Showable as trouble:
        clips.could_not_hear(clip.pk, trouble_words(trouble.sentence))
    except SoftTimeLimitExceeded:
        decoder.close()  # it may hold half an answer
        clips.could_not_hear(clip.pk, trouble_words(TOO_LONG))
    except Exception as failure:
        log.exception("Clip %s could not be heard", clip.pk)
        decoder.close()
        clips.could_not_hear(clip.pk, trouble_words(FAILED.format(what=type(failure).__name__)))


@shared_task(name="diagnostics.hearing.tasks.forget_sounds")
def forget_sounds() -> None:
    left_overs.forget_sounds(timezone.now())


def listened(clip: Clip) -> dict[str, Any]:
    """What is kept of it: the contract of listen, firings per turn, outline. Raises Showable."""
    fires_per_turn = fires_per_turn_of(clip)
    samples = decoder.samples(clip.file.path)
    found = hear(samples, fires_per_turn).as_contract()
    return {"clip": clip.name, **found, "fires_per_turn": fires_per_turn, "outline": outline(samples)}
