"""Later work of this flat: clips are heard, one a task, on a queue of their own.

Each task may run twice: which clip is next is looked up anew. The child that decodes lives as long as its worker.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from celery import shared_task
from celery.exceptions import SoftTimeLimitExceeded
from celery.utils.log import get_task_logger
from django.core.files.base import File
from django.utils import timezone

from diagnostics.hearing.changes import hearing, left_overs
from diagnostics.hearing.core.heard import Heard
from diagnostics.hearing.core.heard_words import trouble_words
from diagnostics.hearing.decoding.decode import Decoder
from diagnostics.hearing.models.clips import Clip
from diagnostics.hearing.reads.machines import fires_per_turn_of
from garage.changes.left_over_files import forget_files
from garage.core.errors import Showable
from garage.reads.shop import the_shop
from garage.wake import wake

SOFT_LIMIT_S, HARD_LIMIT_S = 120, 150  # decoding is stopped after 60 s; then hearing takes seconds
TOO_LONG = f"clip took more than {SOFT_LIMIT_S} s to be heard; allowed is a clip of at most 3 minutes."
FAILED = (
    "clip made the program that listens to it fail ({what}): please keep it and tell whoever looks after the computer."
)

log = get_task_logger(__name__)
decoder = Decoder()  # starts its child with the first clip: one for each worker process


@shared_task(name=hearing.HEAR, soft_time_limit=SOFT_LIMIT_S, time_limit=HARD_LIMIT_S)
def hear_clips() -> None:
    if hear_next(timezone.now):
        wake(hearing.HEAR)  # the next one, if there is one


def hear_next(clock: Callable[[], datetime]) -> bool:
    """Whether a clip waited. clock: asked when it is taken up, and again once it is heard."""
    with hearing.taken_up(now=clock()) as clip:
        if clip is None:
            return False
        _hear(clip, clock)
    return True


def _hear(clip: Clip, clock: Callable[[], datetime]) -> None:
    try:
        heard = listened(clip)
        with _sound_alone(clip) as sound:
            hearing.keep(clip.pk, heard, sound=sound, now=clock())
    except Showable as trouble:
        hearing.could_not_hear(clip.pk, trouble_words(trouble.sentence), now=clock())
    except SoftTimeLimitExceeded:
        decoder.close()  # it may hold half an answer
        hearing.could_not_hear(clip.pk, trouble_words(TOO_LONG), now=clock())
    except Exception as failure:
        log.exception("Clip %s could not be heard", clip.pk)
        decoder.close()
        hearing.could_not_hear(clip.pk, trouble_words(FAILED.format(what=type(failure).__name__)), now=clock())


@contextmanager
def _sound_alone(clip: Clip) -> Iterator[File[bytes] | None]:
    """As every browser plays it. None where the shop keeps what was sent, and where that cannot be copied: it was heard
    all the same, and stays.
    """
    if the_shop().keeps_clip_originals:
        yield None
        return
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / f"sound{hearing.KEPT_AS}"
        try:
            decoder.write_playable(clip.file.path, str(copy))
        except Showable as trouble:
            log.warning("The sound of clip %s could not be copied: %s", clip.pk, trouble)
            yield None
            return
        with copy.open("rb") as sound:
            yield File(sound)


@shared_task(name="diagnostics.hearing.tasks.forget_sounds")
def forget_sounds() -> None:
    now = timezone.now()
    left_overs.forget_unheard(now)
    forget_all_sounds(now)


def forget_all_sounds(now: datetime) -> int:
    return forget_files(Clip, folder="clips", now=now)


def listened(clip: Clip) -> Heard:
    """What is heard in it as its machine is known now. Raises Showable."""
    from diagnostics.hearing.core.hear import hear  # SciPy: a second and 60 MB that only the worker of clips needs

    return hear(decoder.samples(clip.file.path), fires_per_turn_of(clip))
