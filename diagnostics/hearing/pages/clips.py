"""Clips of a visit as pages show them, and the doors to one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet
from django.http import Http404
from django.urls import reverse
from django.utils import timezone

from diagnostics.core.judging.heard_chances import limiter_share
from diagnostics.hearing.reads.clip_words import BETTER, ceiling_words, right_words, rpm_words, verdict_words
from diagnostics.models.clips import Clip
from diagnostics.reads.bank import the_bank
from diagnostics.reads.filled_sheet import filled_sheet
from diagnostics.reads.machine_facts import machine_facts
from garage.core.routes import DO_NOT_RUN
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads import access, links

ASK_AGAIN_S = (2, 30)  # between two looks at a clip that is worked on: at first, and at most
BACK_OFF = 0.4  # of its age: who has waited a minute can wait another 24 s


@dataclass(frozen=True)
class ClipState:
    """One clip as its state's fragment shows it (templates/diagnostics/_clip_state.html), to owner and workshop alike.

    said: one sentence; more: what else is to be said. ask_again_s: none once nothing changes by itself.
    region: id of the part of page_url that is put anew while it is worked on. picture_url: empty where there is nothing
    to draw; delete_url: empty where the page has its own way to delete.
    """

    clip: Clip
    said: str
    more: str
    ask_again_s: int | None
    page_url: str
    region: str
    picture_url: str
    picture_words: str
    sound_url: str
    delete_url: str

    @property
    def pk(self) -> int:
        return self.clip.pk


def clips_of(visit: Visit) -> QuerySet[Clip]:
    """Newest first."""
    return Clip.objects.filter(visit=visit).select_related("by", "own_by", "visit__machine__kind")


def clip_for(person: Person, number: int, clip_id: int) -> Clip:
    """A clip of the visit with that number, for anybody who works here; Http404 otherwise."""
    return _or_404(clips_of(access.visit_for(person, number)).filter(pk=clip_id).first())


def clip_by_link(visit: Visit, clip_id: int) -> Clip:
    """A clip that this visit's owner sent; Http404 otherwise. The visit came by its personal link."""
    return _or_404(clips_of(visit).filter(pk=clip_id, by=None).first())


def owner_clips(visit: Visit) -> tuple[ClipState, ...]:
    """The clips that the owner sent, newest first, with the addresses behind the link of the check sheet."""
    return _sent_clips(visit, links.SHEET, "sheet-clip", more=_more_for_the_owner, delete="sheet-clip-delete")


def owner_clips_kept(visit: Visit) -> tuple[ClipState, ...]:
    """The same behind the link of the visit, to look at only: nothing is asked of the owner any more."""
    return _sent_clips(visit, links.VISIT, "owner-clip", more=_more_of_a_kept_one, delete="")


def _sent_clips(
    visit: Visit, purpose: str, page: str, *, more: Callable[[Visit, Clip], str], delete: str
) -> tuple[ClipState, ...]:
    token, now = links.token(visit, purpose), timezone.now()

    def at(name: str, *more: int) -> str:
        return reverse(name, args=[token, *more])

    return tuple(
        ClipState(
            clip=clip,
            said=said_to_the_owner(clip),
            more=more(visit, clip),
            ask_again_s=ask_again_s(clip, now),
            page_url=at(page),
            region=f"clip-{clip.pk}",
            picture_url=at(f"{page}-picture", clip.pk) if has_picture(clip) else "",
            picture_words=picture_words(clip),
            sound_url=at(f"{page}-sound", clip.pk),
            delete_url=at(delete, clip.pk) if delete else "",
        )
        for clip in clips_of(visit).filter(by=None)
    )


def ask_again_s(clip: Clip, now: datetime) -> int | None:
    """Seconds until the page looks again; longer the longer it has waited; none where nothing is awaited."""
    if clip.state not in (Clip.WAITS, Clip.WORKING):
        return None
    first, most = ASK_AGAIN_S
    return round(min(max(first, BACK_OFF * (now - clip.at).total_seconds()), most))


def has_picture(clip: Clip) -> bool:
    return clip.state == Clip.HEARD and bool(clip.result and clip.result.get("outline"))


def picture_words(clip: Clip) -> str:
    """What the picture shows, for who does not see it."""
    if not has_picture(clip):
        return ""
    result = clip.result
    parts = [f"Engine speed over {result['seconds']:.0f} seconds of sound: {verdict_words(clip.verdict)}."]
    if result["idle_rpm"] is not None:
        parts.append(f"Idle {rpm_words(result['idle_rpm'])}.")
    if result["peak_rpm"] is not None:
        parts.append(f"Highest speed held {rpm_words(result['peak_rpm'])}.")
    if result["held"]:
        parts.append(f"Throttle open from {result['held'][0]:.1f} to {result['held'][1]:.1f} s.")
    if result["drop_outs"]:
        parts.append(f"Drop-outs marked: {len(result['drop_outs'])}.")
    return " ".join(parts)


def _or_404(clip: Clip | None) -> Clip:
    if clip is None:
        raise Http404
    return clip


def said_to_the_owner(clip: Clip) -> str:
    if clip.state == Clip.WAITS and not clip.own_verdict:
        return "Your clip is here. We begin working on it in a moment."
    if clip.state == Clip.WORKING and not clip.own_verdict:
        return "Working on your clip: it takes a few seconds."
    if clip.state == Clip.NOT_HEARD and not clip.own_verdict:
        return clip.trouble
    who = "A mechanic has listened: " if clip.own_verdict else ""
    if is_its_limiter(clip):
        return (
            f"{who or 'Thank you: '}it gets to its speed and meets a line there, as a limiter of its own would draw it."
        )
    said = {
        Clip.REVS_OUT: f"{who or 'Thank you: '}it revs out and holds. That is good news for the ignition.",
        Clip.BREAKS_DOWN: f"{who or 'Thank you: '}it hits a ceiling"
        f"{ceiling_words(clip.result or {})} and breaks down there. This may have saved you a wasted roller session.",
        Clip.UNCLEAR: f"{who or 'Thank you: '}from this clip nobody can say whether the ignition keeps up.",
    }
    return said[clip.verdict]


def _more_for_the_owner(visit: Visit, clip: Clip) -> str:
    if clip.state == Clip.NOT_HEARD or clip.verdict == Clip.UNCLEAR:
        return f"{_more_of_a_kept_one(visit, clip)} {BETTER if _may_be_revved(visit) else ''}".strip()
    if clip.state == Clip.HEARD and clip.verdict == Clip.BREAKS_DOWN and not is_its_limiter(clip):
        return "Please do not rev it out again: we look for the cause before anything else."
    return _more_of_a_kept_one(visit, clip)


def _more_of_a_kept_one(_visit: Visit, clip: Clip) -> str:
    if clip.state in (Clip.WAITS, Clip.WORKING):
        return "You can leave this page: nothing is lost."
    if clip.state == Clip.NOT_HEARD or clip.verdict == Clip.UNCLEAR:
        reason = "" if clip.own_verdict or not clip.result else f"{clip.result['reason']} "
        return f"{reason}It counts neither for nor against your machine."
    if is_its_limiter(clip):
        return "That is no bad sign by itself: we compare it with what is known of the machine."
    if clip.verdict == Clip.BREAKS_DOWN or clip.own_verdict:
        return ""
    return right_words(clip.result["confidence"])


def is_its_limiter(clip: Clip) -> bool:
    """The ceiling lies where the machine's own speed ends, as far as that is known."""
    if clip.verdict != Clip.BREAKS_DOWN or not clip.result:
        return False
    design_rpm = machine_facts(clip.visit.machine).get("design_rpm")
    return (limiter_share(the_bank().hearing, design_rpm, clip.result["ceiling_rpm"]) or 0) >= 0.5


def _may_be_revved(visit: Visit) -> bool:
    """Nobody is asked for a better one of a machine that must not be revved out."""
    return not filled_sheet(visit).why_not and visit.route != DO_NOT_RUN
