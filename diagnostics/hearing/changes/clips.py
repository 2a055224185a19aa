"""Clips of the rev-out: taken in, heard by the task, judged upon, deleted with all that is in them."""

from __future__ import annotations

import hashlib
import math
import re
import uuid
from pathlib import PurePosixPath

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils import timezone

from diagnostics.changes import judgements
from diagnostics.hearing.reads.clip_words import ceiling_words, verdict_words
from diagnostics.models.clips import Clip
from diagnostics.reads.case import sheet_of
from garage.changes import trail
from garage.changes.locks import visit_for_change
from garage.core import states
from garage.core.errors import BadInput, Refused, Told
from garage.models.actors import OWNER, SYSTEM
from garage.models.people import Person
from garage.models.visits import Visit
from garage.wake import wake

LARGEST_MB = 100  # contract of listen
MOST_A_VISIT = 6  # a rev-out is done again once or twice, not more: the engine gets hot; common practice, no source
LONGEST_NAME = 120
ALLOWED = f"a sound or video file as a phone makes it, of at most 3 minutes and {LARGEST_MB} MB"
HEAR = "diagnostics.hearing.tasks.hear_clips"


def take_in(visit: Visit, *, upload: UploadedFile, by: Person | None = None) -> Clip:
    """Without `by` the owner sends it. The same file twice is one clip. Raises BadInput and Refused."""
    _check_the_file(upload)
    name, digest = _clean(upload.name or ""), _digest(upload)
    with transaction.atomic():
        visit = visit_for_change(visit)
        _check_it_is_open(visit, by)
        there = Clip.objects.filter(visit=visit, digest=digest).first()
        if there is not None:
            return there
        if Clip.objects.filter(visit=visit).count() >= MOST_A_VISIT:
            raise Refused(f"There are {MOST_A_VISIT} clips of this visit already: delete one first.")
        clip = Clip(visit=visit, at=timezone.now(), by=by, name=name, size_bytes=upload.size, digest=digest)
        _keep(clip, upload)
        trail.about_visit(visit, f"clip taken in: {name}", by=by or OWNER)
        wake(HEAR)
    return clip


@transaction.atomic
def hear_again(clip: Clip, *, by: Person) -> Clip:
    """One that could not be heard, or was heard while the machine was known otherwise, waits anew."""
    visit, clip = _for_change(clip)
    if clip.state in (Clip.WAITS, Clip.WORKING):
        return clip
    clip.state, clip.begun_at, clip.tries, clip.trouble = Clip.WAITS, None, 0, ""
    clip.save(update_fields=["state", "begun_at", "tries", "trouble"])
    trail.about_visit(visit, f"clip to be heard again: {clip.name}", by=by)
    wake(HEAR)
    return clip


@transaction.atomic
def own_verdict(clip: Clip, *, verdict: str, by: Person) -> Clip:
    """A person has listened: their verdict is the one that counts, and the visit is judged again."""
    visit, clip = _for_change(clip)
    _check_a_person_may_judge(visit)
    if verdict not in dict(Clip.VERDICTS):
        raise BadInput("Your verdict", verdict or None, "one of " + ", ".join(words for _, words in Clip.VERDICTS))
    clip.own_verdict, clip.own_by, clip.own_at = verdict, by, timezone.now()
    clip.save(update_fields=["own_verdict", "own_by", "own_at"])
    trail.about_visit(visit, f"own verdict on the clip {clip.name}: {dict(Clip.VERDICTS)[verdict]}", by=by)
    judgements.judge_again(visit)
    return clip


@transaction.atomic
def own_verdict_withdrawn(clip: Clip, *, by: Person) -> Clip:
    """What was heard counts again."""
    visit, clip = _for_change(clip)
    _check_a_person_may_judge(visit)
    if not clip.own_verdict:
        return clip
    clip.own_verdict, clip.own_by, clip.own_at = "", None, None
    clip.save(update_fields=["own_verdict", "own_by", "own_at"])
    trail.about_visit(visit, f"own verdict on the clip {clip.name} taken back", by=by)
    judgements.judge_again(visit)
    return clip


@transaction.atomic
def delete(clip: Clip, *, by: Person | None = None) -> None:
    """The row and the sound are gone; the finding with them, and an open visit is judged again. Allowed at any time."""
    visit, clip = _for_change(clip)
    name, file = clip.name, clip.file
    spoke = bool(clip.verdict)
    clip.delete()
    transaction.on_commit(lambda: file.storage.delete(file.name), robust=True)
    trail.about_visit(visit, f"clip deleted: {name}", by=by or OWNER)
    if spoke and visit.state not in states.OVER:
        judgements.judge_again(visit)


@transaction.atomic
def heard(clip_id: int, result: dict[str, object]) -> None:
    """What listen gave. The visit is judged again; where the sheet was sent, a changed route waits for the boss."""
    visit, clip = _being_heard(clip_id)
    if clip is None:
        return
    clip.state, clip.result, clip.trouble, clip.heard_at = Clip.HEARD, result, "", timezone.now()
    clip.save(update_fields=["state", "result", "trouble", "heard_at"])
    did = f"clip heard: {verdict_words(str(result['verdict']))}{ceiling_words(result)}"
    trail.about_visit(visit, did, by=SYSTEM)
    if visit.state in states.OVER:
        return
    judgement = judgements.judge_again(visit)
    sheet = sheet_of(visit)
    if visit.state in states.COMING and sheet is not None and sheet.sent_at:
        judgements.act_on_the_sheet(judgement)


@transaction.atomic
def could_not_hear(clip_id: int, sentence: str) -> None:
    """sentence: why, for the owner and the workshop alike."""
    visit, clip = _being_heard(clip_id)
    if clip is None:
        return
    clip.state, clip.trouble, clip.result = Clip.NOT_HEARD, sentence[:400], None
    clip.save(update_fields=["state", "trouble", "result"])
    trail.about_visit(visit, f"clip could not be heard: {sentence}", by=SYSTEM)


def _for_change(clip: Clip) -> tuple[Visit, Clip]:
    """Visit first, then the clip as it is now. Raises Refused where it was deleted meanwhile."""
    visit = visit_for_change(clip.visit)
    found = Clip.objects.filter(pk=clip.pk).first()
    if found is None:
        raise Refused("This clip was deleted meanwhile.")
    return visit, found


def _being_heard(clip_id: int) -> tuple[Visit, Clip] | tuple[None, None]:
    """None once it was deleted, or another worker was done first."""
    clip = Clip.objects.filter(pk=clip_id).select_related("visit").first()
    if clip is None:
        return None, None
    visit = visit_for_change(clip.visit)
    clip = Clip.objects.filter(pk=clip_id, state=Clip.WORKING).first()
    return (visit, clip) if clip else (None, None)


def _check_the_file(upload: UploadedFile) -> None:
    if not upload.size:
        raise BadInput("The clip", Told("an empty file"), ALLOWED)
    if upload.size > LARGEST_MB * 1_000_000:
        raise BadInput("The clip", Told(f"{math.ceil(upload.size / 1e6)} MB"), ALLOWED)


def _check_it_is_open(visit: Visit, by: Person | None) -> None:
    if by is None and visit.state not in states.COMING:
        raise Refused(
            "Your machine is with us or the visit is over, so no clip is taken any more: tell us by telephone."
        )
    if visit.state in states.OVER:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: no clip is taken any more.")


def _check_a_person_may_judge(visit: Visit) -> None:
    if visit.state in states.OVER:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: it is not judged any more.")


def _clean(name: str) -> str:
    """The name as sent, on one line and printable, its ending kept."""
    last = re.split(r"[/\\]", name)[-1]
    words = " ".join("".join(c if c.isprintable() else " " for c in last).split())
    if not words.strip(". "):
        raise BadInput("The clip's name", name[:40], "a name with a letter or digit in it, as rev-out.m4a")
    ending = PurePosixPath(words).suffix[:10]
    return words if len(words) <= LONGEST_NAME else words[: LONGEST_NAME - len(ending)] + ending


def _digest(upload: UploadedFile) -> str:
    digest = hashlib.sha256()
    for part in upload.chunks():
        digest.update(part)
    upload.seek(0)
    return digest.hexdigest()


def _keep(clip: Clip, upload: UploadedFile) -> None:
    """Under a name by chance: what people call their files never becomes a path. No file stays without its row."""
    ending = re.sub(r"[^a-z0-9]", "", PurePosixPath(clip.name).suffix.lower())[:8]
    try:
        clip.file.save(f"{uuid.uuid4().hex}.{ending or 'clip'}", upload, save=False)
    except OSError as trouble:
        raise Refused(
            "The clip could not be kept: the garage's disk took no more. Please tell us by telephone."
        ) from trouble
    try:
        clip.save(force_insert=True)
    except BaseException:
        clip.file.storage.delete(clip.file.name)
        raise
