"""The owner's page of the clip: whether the rev-out may be asked for at all, and what was sent so far."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.core.rev_out_safety import STOPPED, first_to_ask
from diagnostics.hearing.pages.clips import ClipState, owner_clips
from diagnostics.models.clips import Clip
from diagnostics.reads.filled_sheet import filled_sheet
from garage.core.routes import DO_NOT_RUN
from garage.models.visits import Visit

ENOUGH = "The clip that was heard says that it breaks down: once more tells nothing new."


@dataclass(frozen=True)
class RevOut:
    """why_not: the sentences that keep the owner from it. ask_first: a question that must be asked before it, or ""."""

    why_not: tuple[str, ...]
    ask_first: str

    @property
    def may_be_asked(self) -> bool:
        return not self.why_not and not self.ask_first


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
        return newest.state != Clip.NOT_HEARD and newest.verdict != Clip.UNCLEAR


def rev_out_of(visit: Visit) -> RevOut:
    filled = filled_sheet(visit)
    told = filled.why_not
    if visit.route == DO_NOT_RUN and not told:
        told = (STOPPED,)  # somebody here has said so
    return RevOut(told, "" if told else first_to_ask(filled.findings) or "")


def owner_clip_page(visit: Visit) -> OwnerClipPage:
    rev_out, clips = rev_out_of(visit), owner_clips(visit)
    if not rev_out.why_not and any(state.clip.verdict == Clip.BREAKS_DOWN for state in clips):
        rev_out = RevOut((ENOUGH,), "")
    return OwnerClipPage(visit, rev_out, clips)


def has_sent_clips(visit: Visit) -> bool:
    return Clip.objects.filter(visit=visit, by=None).exists()
