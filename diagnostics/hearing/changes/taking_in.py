"""A clip is taken in: sent by the owner, or brought by the workshop. Its sound goes into private media."""

from __future__ import annotations

import hashlib
import math
import re
import uuid
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import PurePosixPath

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.db.models.fields.files import FieldFile

from diagnostics.hearing.changes.hearing import HEAR
from diagnostics.hearing.models.clips import Clip
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.changes.kept_files import gone_without_their_rows
from garage.changes.people import attempts
from garage.core import states
from garage.core.errors import BadInput, Refused, Unquoted
from garage.core.text.languages import told
from garage.models.actors import OWNER, Actor, person_of
from garage.models.people import Person
from garage.models.visits import Visit
from garage.wake import wake

LARGEST_MB = 100  # manual of `listen`
MOST_A_VISIT = 6  # a rev-out is done again once or twice, not more: the engine gets hot; common practice, no source
MOST_A_DAY = (
    20  # sent by links for one visit, those deleted again too: somebody fills the disk; common practice, no source
)
DAY = timedelta(days=1)
SENT = "clip-sent"
LONGEST_NAME = 120


def allowed_words() -> str:
    return told("a sound or video file as a phone makes it, of at most 3 minutes and {largest} MB", largest=LARGEST_MB)


class TooManyClips(Refused):
    status = 429


def send(visit: Visit, *, upload: UploadedFile[bytes], now: datetime) -> Clip:
    """By the owner, as long as the machine is to come. The same file twice is one clip. Raises BadInput and Refused."""
    key = attempts.hashed(SENT, str(visit.pk))
    if attempts.claimed(SENT, caps=((key, MOST_A_DAY),), within=DAY, now=now) is None:
        raise TooManyClips(
            told(
                "For this visit {count} clips were sent within a day, and that is the most. "
                "Please try again tomorrow, or ring us.",
                count=MOST_A_DAY,
            )
        )
    file = _looked_at(upload)
    with gone_without_their_rows() as kept, transaction.atomic():
        visit = visit_for_change(visit)
        if visit.state not in states.COMING:
            raise Refused(
                told("Your machine is with us or the visit is over, so we can’t take a clip any more. Please ring us.")
            )
        return _taken_in(visit, file, kept, by=OWNER, now=now)


def take_in(visit: Visit, *, upload: UploadedFile[bytes], by: Person, now: datetime) -> Clip:
    """By the workshop, until the visit is over. The same file twice is one clip. Raises BadInput and Refused."""
    file = _looked_at(upload)
    with gone_without_their_rows() as kept, transaction.atomic():
        visit = visit_for_change(visit)
        if visit.state in states.OVER:
            raise Refused(f"Visit {visit.number} is {visit.state_words}: it takes no more clips.")
        return _taken_in(visit, file, kept, by=by, now=now)


@dataclass(frozen=True)
class _File:
    """name: as it is kept."""

    upload: UploadedFile[bytes]
    name: str
    size_bytes: int
    digest: str


def _looked_at(upload: UploadedFile[bytes]) -> _File:
    """Before anything is locked: reading it takes a while."""
    size_bytes = upload.size
    if not size_bytes:
        raise BadInput(told("The clip"), Unquoted(told("an empty file")), allowed_words())
    if size_bytes > LARGEST_MB * 1_000_000:
        raise BadInput(told("The clip"), Unquoted(f"{math.ceil(size_bytes / 1e6)} MB"), allowed_words())
    return _File(upload, _clean(upload.name or ""), size_bytes, _digest(upload))


def _taken_in(visit: Visit, file: _File, kept: list[FieldFile], *, by: Actor, now: datetime) -> Clip:
    there = Clip.objects.filter(visit=visit, digest=file.digest).first()
    if there is not None:
        return there
    if Clip.objects.filter(visit=visit).count() >= MOST_A_VISIT:
        raise Refused(told("This visit has {count} clips already: delete one first.", count=MOST_A_VISIT))
    clip = Clip(
        visit=visit,
        at=now,
        by=person_of(by),
        name=file.name,
        size_bytes=file.size_bytes,
        digest=file.digest,
    )
    _keep(clip, file.upload)
    kept.append(clip.file)
    clip.save()
    trail.about_visit(visit, f"clip taken in: {file.name}", by=by, now=now)
    wake(HEAR)
    return clip


def _clean(name: str) -> str:
    """The name as sent, on one line and printable, its ending kept."""
    last = re.split(r"[/\\]", name)[-1]
    words = " ".join("".join(c if c.isprintable() else " " for c in last).split())
    if not words.strip(". "):
        allowed = told("a name with a letter or digit in it, as rev-out.m4a")
        raise BadInput(told("The clip's name"), name[:40], allowed)
    ending = PurePosixPath(words).suffix[:10]
    return words if len(words) <= LONGEST_NAME else words[: LONGEST_NAME - len(ending)] + ending


def _digest(upload: UploadedFile[bytes]) -> str:
    digest = hashlib.sha256()
    for part in upload.chunks():
        digest.update(part)
    upload.seek(0)
    return digest.hexdigest()


def _keep(clip: Clip, upload: UploadedFile[bytes]) -> None:
    """Under a random name: what people call their files never becomes a path."""
    ending = re.sub(r"[^a-z0-9]", "", PurePosixPath(clip.name).suffix.lower())[:8]
    try:
        clip.file.save(f"{uuid.uuid4().hex}.{ending or 'clip'}", upload, save=False)
    except OSError as trouble:
        raise Refused(
            told("The clip could not be saved: there is no room for it on the garage’s disk. Please ring us.")
        ) from trouble
