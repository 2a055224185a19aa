"""All that the rest of the house reads of the clips: what they say to the judgement, and their lines in lists."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Exists, Min, OuterRef, Q

from diagnostics.core.findings import BREAKS_DOWN, REVS_OUT, ClipVerdict
from diagnostics.hearing.core.heard_words import ceiling_words, verdict_words
from diagnostics.hearing.models.clips import Clip
from diagnostics.hearing.reads.clips import clips_of, sent_clips
from garage.core import states
from garage.core.selling.owner_choice import MYSELF
from garage.models.visits import Visit

MOST_NOT_HEARD = 20  # clips, for a list that somebody reads


@dataclass(frozen=True)
class ClipLine:
    """giver: who sent it or took it in; says: what it says, or how far it is."""

    pk: int
    name: str
    giver: str
    at: datetime
    says: str


def clip_verdict(visit: Visit, own_confidence: float) -> ClipVerdict | None:
    """What the judgement is given: of the newest clip that says something. A person's verdict stands before the heard
    one, with the bank's confidence and without the heard peak: who listened has been told that it is low.
    """
    clip = _clip_that_counts(visit)
    if clip is None:
        return None
    heard = clip.heard
    return ClipVerdict(
        verdict=clip.verdict,
        confidence=own_confidence if clip.own_verdict or heard is None else heard.confidence,
        ceiling_rpm=_ceiling_rpm(clip),
        peak_rpm=heard.peak_rpm if heard and not clip.own_verdict else None,
    )


def stand_speeds(visit: Visit) -> tuple[float | None, float | None]:
    """The ceiling, and the highest speed held, that were heard in the clip that counts, rpm."""
    clip = _clip_that_counts(visit)
    if clip is None or clip.heard is None:
        return None, None
    return _ceiling_rpm(clip), clip.heard.peak_rpm


def _clip_that_counts(visit: Visit) -> Clip | None:
    """The newest that says something. `unclear` weighs nothing and takes no older verdict away. A clip from before its
    owner put it right says nothing any more.
    """
    clips = Clip.objects.filter(visit=visit).exclude(own_verdict="", state__in=(Clip.WAITS, Clip.WORKING))
    if visit.choice == MYSELF and visit.chosen_at:
        clips = clips.filter(at__gt=visit.chosen_at)
    return next((clip for clip in clips if clip.verdict in (REVS_OUT, BREAKS_DOWN)), None)


def _ceiling_rpm(clip: Clip) -> float | None:
    return clip.heard.ceiling_rpm if clip.heard and clip.verdict == BREAKS_DOWN else None


def clip_lines(visit: Visit) -> tuple[ClipLine, ...]:
    """Newest first."""
    return tuple(
        ClipLine(clip.pk, clip.name, clip.by.name if clip.by else "the owner", clip.at, _says(clip))
        for clip in clips_of(visit)
    )


def has_sent_clips(visit: Visit) -> bool:
    """Whether the owner sent any."""
    return sent_clips(visit).exists()


def visits_not_heard() -> tuple[tuple[int, ...], datetime | None]:
    """The visits to come of which no clip says anything, because one cannot be heard and nobody has said what it says;
    and since when.
    """
    says = Clip.objects.filter(Q(state=Clip.HEARD) | ~Q(own_verdict=""), visit=OuterRef("visit"))
    rows = Clip.objects.filter(~Exists(says), state=Clip.NOT_HEARD, visit__state__in=states.COMING)
    found = list(rows.order_by("at").values_list("visit__number", "at")[:MOST_NOT_HEARD])
    return tuple(dict.fromkeys(number for number, _ in found)), found[0][1] if found else None


def clips_waiting() -> tuple[int, datetime | None]:
    """How many are not heard yet, and since when the one that has waited longest."""
    found = Clip.objects.filter(state__in=(Clip.WAITS, Clip.WORKING)).aggregate(count=Count("pk"), since=Min("at"))
    return found["count"], found["since"]


def _says(clip: Clip) -> str:
    if clip.own_verdict:
        return f"{verdict_words(clip.own_verdict)}, by ear"
    heard = clip.heard
    if heard and clip.state == Clip.HEARD:
        return f"{verdict_words(heard.verdict)}{ceiling_words(heard.ceiling_rpm)}"
    return {Clip.WAITS: "waiting to be listened to", Clip.WORKING: "being listened to"}.get(
        clip.state, "cannot be heard"
    )
