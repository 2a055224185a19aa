"""The owner's page of the clip: whether the rev-out may be asked for at all, and what was sent so far."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from diagnostics.core.findings import BREAKS_DOWN, REVS_OUT, UNCLEAR
from diagnostics.hearing.core.heard_words import BETTER, reason_words, right_words, rpm_words, trouble_told
from diagnostics.hearing.models.clips import Clip
from diagnostics.hearing.pages.clip_state import ClipState, ask_again_s, has_picture, picture_words
from diagnostics.hearing.reads.clips import clips_before, sent_clips
from diagnostics.hearing.reads.machines import limiter_share_of
from diagnostics.reads.rev_out import RevOut, rev_out_of
from garage.core.text.languages import told, told_later
from garage.models.visits import Visit
from garage.reads import links

ENOUGH = told_later("The clip shows that it breaks down. Doing it again would tell us nothing new.")


@dataclass(frozen=True)
class OwnerClipPage:
    visit: Visit
    rev_out: RevOut
    clips: tuple[ClipState, ...]

    @property
    def has_what_it_needs(self) -> bool:
        """The newest clip is being heard or has said something: another one is offered, not asked for."""
        if not self.clips:
            return False
        newest = self.clips[0].clip
        return newest.state != Clip.NOT_HEARD and newest.verdict != UNCLEAR


def owner_clip_page(visit: Visit, *, now: datetime) -> OwnerClipPage:
    rev_out, clips = rev_out_of(visit), owner_clips(visit, now=now)
    if not rev_out.why_not and any(state.clip.verdict == BREAKS_DOWN for state in clips):
        rev_out = RevOut((told(ENOUGH),), "")
    return OwnerClipPage(visit, rev_out, clips)


def owner_clips(visit: Visit, *, now: datetime) -> tuple[ClipState, ...]:
    """The clips that the owner sent, newest first, with the addresses behind the link of the check sheet."""
    return _sent_clips(visit, links.SHEET, "sheet-clip", more=_more_for_the_owner, delete="sheet-clip-delete", now=now)


def owner_clips_kept(visit: Visit, *, now: datetime) -> tuple[ClipState, ...]:
    """The same behind the link of the visit, to look at only: nothing is asked of the owner any more."""
    return _sent_clips(visit, links.VISIT, "owner-clip", more=_more_of_a_kept_one, delete="", now=now)


def _sent_clips(
    visit: Visit, purpose: str, page: str, *, more: Callable[[Visit, Clip], str], delete: str, now: datetime
) -> tuple[ClipState, ...]:
    token = links.token(visit, purpose)

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
        for clip in sent_clips(visit)
    )


def said_to_the_owner(clip: Clip) -> str:
    if clip.state == Clip.WAITS and not clip.own_verdict:
        return _waits(clips_before(clip))
    if clip.state == Clip.WORKING and not clip.own_verdict:
        return told("Listening to your clip: this takes a few seconds.")
    if clip.state == Clip.NOT_HEARD and not clip.own_verdict:
        return trouble_told(clip.trouble)
    said = _what_it_does(clip)
    return (
        told("A mechanic has listened: {said}", said=said) if clip.own_verdict else told("Thank you: {said}", said=said)
    )


def _waits(before: int) -> str:
    """before: how many are heard first."""
    if not before:
        return told("Your clip is here. We’ll start on it in a moment.")
    if before == 1:
        return told("Your clip is here. One other is heard before it.")
    return told("Your clip is here. {count} others are heard before it.", count=before)


def _what_it_does(clip: Clip) -> str:
    """The end of a sentence."""
    if is_its_limiter(clip):
        return told("it reaches its speed and is held there, as its own limiter would hold it.")
    if clip.verdict == REVS_OUT:
        return told("it revs out and holds. That is good news for the ignition.")
    if clip.verdict == UNCLEAR:
        return told("from this clip nobody can say whether the ignition keeps up.")
    ceiling_rpm = clip.heard.ceiling_rpm if clip.heard else None
    if ceiling_rpm is None:
        return told("it hits a ceiling and breaks down there. This may have saved you a wasted roller session.")
    return told(
        "it hits a ceiling at about {rpm} and breaks down there. This may have saved you a wasted roller session.",
        rpm=rpm_words(ceiling_rpm),
    )


def _more_for_the_owner(visit: Visit, clip: Clip) -> str:
    if clip.state == Clip.NOT_HEARD or clip.verdict == UNCLEAR:
        return f"{_more_of_a_kept_one(visit, clip)} {told(BETTER) if _may_be_revved(visit) else ''}".strip()
    if clip.state == Clip.HEARD and clip.verdict == BREAKS_DOWN and not is_its_limiter(clip):
        return told("Please don’t rev it out again: we’ll look for the cause first.")
    return _more_of_a_kept_one(visit, clip)


def _more_of_a_kept_one(_visit: Visit, clip: Clip) -> str:
    if clip.state in (Clip.WAITS, Clip.WORKING):
        return told("You can leave this page: nothing is lost.")
    heard = clip.heard
    if clip.state == Clip.NOT_HEARD or clip.verdict == UNCLEAR:
        reason = f"{reason_words(heard)} " if heard and not clip.own_verdict else ""
        neither = told("It counts neither for nor against your machine.")
        return f"{reason}{neither}"
    if is_its_limiter(clip):
        return told("That is not a bad sign in itself: we’ll compare it with what we know of the machine.")
    if clip.verdict == BREAKS_DOWN or clip.own_verdict or heard is None:
        return ""
    return right_words(heard.confidence)


def is_its_limiter(clip: Clip) -> bool:
    """The ceiling lies where the machine's own speed ends, as far as that is known."""
    if clip.verdict != BREAKS_DOWN or clip.heard is None:
        return False
    return (limiter_share_of(clip.visit, clip.heard.ceiling_rpm) or 0) >= 0.5


def _may_be_revved(visit: Visit) -> bool:
    """Nobody is asked for a better one of a machine that must not be revved out."""
    return not rev_out_of(visit).why_not
