"""What a person does with a clip: has it heard again, says what they hear, deletes it with all that is in it."""

from __future__ import annotations

from datetime import datetime
from functools import partial

from django.db import transaction

from diagnostics.hearing.changes.hearing import HEAR
from diagnostics.hearing.events import clip_verdict_changed
from diagnostics.hearing.models.clips import Clip
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.core.text.languages import told
from garage.models.actors import Actor
from garage.models.people import Person
from garage.models.visits import Visit
from garage.wake import wake


@transaction.atomic
def hear_again(clip: Clip, *, by: Person, now: datetime) -> Clip:
    """One that could not be heard, or was heard while the machine was known otherwise, waits anew."""
    visit, clip = _for_change(clip)
    if clip.state in (Clip.WAITS, Clip.WORKING):
        return clip
    clip.state, clip.begun_at, clip.tries, clip.trouble = Clip.WAITS, None, 0, ""
    clip.save(update_fields=["state", "begun_at", "tries", "trouble"])
    trail.about_visit(visit, f"clip to be heard again: {clip.name}", by=by, now=now)
    wake(HEAR)
    return clip


@transaction.atomic
def own_verdict(clip: Clip, *, verdict: str, by: Person, now: datetime) -> Clip:
    """A person has listened: their verdict is the one that counts, and the visit is judged again."""
    visit, clip = _for_change(clip)
    _check_a_person_may_judge(visit)
    if verdict not in dict(Clip.VERDICTS):
        raise BadInput("Your verdict", verdict or None, "one of " + ", ".join(words for _, words in Clip.VERDICTS))
    clip.own_verdict, clip.own_by, clip.own_at = verdict, by, now
    clip.save(update_fields=["own_verdict", "own_by", "own_at"])
    trail.about_visit(visit, f"own verdict on the clip {clip.name}: {dict(Clip.VERDICTS)[verdict]}", by=by, now=now)
    clip_verdict_changed.send(sender=Clip, visit=visit, by=by, now=now)
    return clip


@transaction.atomic
def own_verdict_withdrawn(clip: Clip, *, by: Person, now: datetime) -> Clip:
    """What was heard counts again."""
    visit, clip = _for_change(clip)
    _check_a_person_may_judge(visit)
    if not clip.own_verdict:
        return clip
    clip.own_verdict, clip.own_by, clip.own_at = "", None, None
    clip.save(update_fields=["own_verdict", "own_by", "own_at"])
    trail.about_visit(visit, f"own verdict on the clip {clip.name} taken back", by=by, now=now)
    clip_verdict_changed.send(sender=Clip, visit=visit, by=by, now=now)
    return clip


@transaction.atomic
def delete(clip: Clip, *, by: Actor, now: datetime) -> None:
    """The row and the sound are gone; the finding with them, and an open visit is judged again. Allowed at any time."""
    visit, clip = _for_change(clip)
    name, file = clip.name, clip.file
    spoke = bool(clip.verdict)
    clip.delete()
    transaction.on_commit(lambda: file.delete(save=False), robust=True)
    trail.about_visit(visit, f"clip deleted: {name}", by=by, now=now)
    if spoke and visit.state not in states.OVER:
        clip_verdict_changed.send(sender=Clip, visit=visit, by=by, now=now)


def forget(visit: Visit) -> dict[str, int]:
    """All of a visit that is over, within the change that holds its lock."""
    rows = list(Clip.objects.filter(visit=visit))
    Clip.objects.filter(visit=visit).delete()
    for row in rows:
        transaction.on_commit(partial(row.file.delete, save=False), robust=True)
    return {"clips": len(rows)}


def _for_change(clip: Clip) -> tuple[Visit, Clip]:
    """Visit first, then the clip as it is now. Raises Refused where it was deleted meanwhile."""
    visit = visit_for_change(clip.visit)
    found = Clip.objects.filter(pk=clip.pk).first()
    if found is None:
        raise Refused(told("This clip has been deleted in the meantime."))
    return visit, found


def _check_a_person_may_judge(visit: Visit) -> None:
    if visit.state in states.OVER:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: it is not judged any more.")
