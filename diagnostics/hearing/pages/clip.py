"""The workshop's page of one clip: what was heard, beside what is known of the machine."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from diagnostics.core.findings import BREAKS_DOWN, REVS_OUT, UNCLEAR
from diagnostics.core.guides.sounds import SOUNDS, Sound
from diagnostics.hearing.core.heard import Heard
from diagnostics.hearing.core.heard_words import (
    BETTER,
    ceiling_words,
    reason_words,
    right_words,
    rpm_words,
    sure_words,
    verdict_words,
)
from diagnostics.hearing.models.clips import Clip
from diagnostics.hearing.pages.clip_state import ClipState, ask_again_s, has_picture, picture_words
from diagnostics.hearing.reads.clips import clips_before
from diagnostics.hearing.reads.machines import design_rpm_of, fires_per_turn_of, limiter_share_of, reached_share_of
from diagnostics.reads.bank import the_bank
from garage.core import states
from garage.models.visits import Visit


@dataclass(frozen=True)
class ClipPage:
    """verdict: the one that counts, in words; heard_words: the heard one where a person's stands before it.

    reason: what the heard one rests on, where it counts; sure: how often such a verdict is right; limit: the ceiling
    against the design speed; figures: name and value; sounds: those to hold it against.
    """

    visit: Visit
    clip: Clip
    state: ClipState
    giver: str
    verdict: str
    heard_words: str
    reason: str
    sure: str
    limit: str
    figures: tuple[tuple[str, str], ...]
    drop_outs: tuple[tuple[str, str], ...]
    verdicts: tuple[tuple[str, str], ...]
    is_open: bool
    may_be_heard_again: str
    sounds: tuple[Sound, ...] = SOUNDS

    @property
    def needs_a_hand(self) -> bool:
        return self.clip.verdict == BREAKS_DOWN


def clip_page(clip: Clip, *, now: datetime) -> ClipPage:
    visit, heard = clip.visit, clip.heard
    design_rpm = design_rpm_of(visit)
    revs_out = heard is not None and clip.verdict == REVS_OUT and not clip.own_verdict
    reached = reached_share_of(visit, heard.peak_rpm) if heard and revs_out else 1.0
    return ClipPage(
        visit=visit,
        clip=clip,
        state=_state(visit, clip, now=now),
        giver=clip.by.name if clip.by else "the owner",
        verdict=_verdict(clip),
        heard_words=f"Heard: {verdict_words(heard.verdict)}." if heard and clip.own_verdict else "",
        reason=reason_words(heard) if heard and not clip.own_verdict else "",
        sure=_sure(clip, reached),
        limit=_limit(visit, heard.ceiling_rpm, design_rpm) or _short_of(heard, design_rpm, reached) if heard else "",
        figures=_figures(heard, design_rpm) if heard else (),
        drop_outs=tuple((f"{a:.2f} s", f"{(b - a) * 1000:.0f} ms") for a, b in heard.drop_outs) if heard else (),
        verdicts=Clip.VERDICTS,
        is_open=visit.state not in states.OVER,
        may_be_heard_again=_why_again(clip),
    )


def _state(visit: Visit, clip: Clip, *, now: datetime) -> ClipState:
    said = {
        Clip.WAITS: _waits(clips_before(clip)) if clip.state == Clip.WAITS else "",
        Clip.WORKING: "Listening to the clip: this takes a few seconds.",
        Clip.NOT_HEARD: clip.trouble,
        Clip.HEARD: "",
    }

    def at(name: str) -> str:
        return reverse(name, args=[visit.number, clip.pk])

    return ClipState(
        clip=clip,
        said=said[clip.state],
        more=BETTER if clip.state == Clip.NOT_HEARD else "",
        ask_again_s=ask_again_s(clip, now),
        page_url=at("clip"),
        region="heard",
        picture_url=at("clip-picture") if has_picture(clip) else "",
        picture_words=picture_words(clip),
        sound_url=at("clip-sound"),
        delete_url="",
    )


def _waits(before: int) -> str:
    """before: how many are heard first."""
    others = "" if not before else " One other is heard before it." if before == 1 else f" {before} others come first."
    return f"It is waiting to be listened to.{others}"


def _verdict(clip: Clip) -> str:
    if not clip.verdict:
        return ""
    ceiling = ceiling_words(clip.heard.ceiling_rpm) if clip.heard and clip.verdict == BREAKS_DOWN else ""
    return f"{verdict_words(clip.verdict)}{ceiling}".capitalize()


def _sure(clip: Clip, reached: float) -> str:
    """reached: how much of it counts; a verdict that counts for nothing is not said to be sure."""
    if clip.own_verdict:
        sure = sure_words(the_bank().hearing.own_verdict_confidence)
        return f"It counts over what was heard, and is weighed as one of which {sure} are right."
    if clip.heard is None or clip.verdict == UNCLEAR or reached == 0:
        return ""
    return right_words(clip.heard.confidence)


def _limit(visit: Visit, ceiling_rpm: float | None, design_rpm: float | None) -> str:
    """Whether the heard ceiling may be the machine's own limiter."""
    if ceiling_rpm is None:
        return ""
    share = limiter_share_of(visit, ceiling_rpm)
    if share is None or design_rpm is None:
        return "Its design speed is not known, and by sound alone its own limiter cannot be told from a false ceiling."
    at = f"{ceiling_rpm / design_rpm * 100:.0f} % of its design speed of {rpm_words(design_rpm)}"
    if share == 0:
        return f"The ceiling is {at}: a false one."
    return f"The ceiling is {at}: {'that is' if share == 1 else 'that may be'} its own limiter."


def _short_of(heard: Heard, design_rpm: float | None, reached: float) -> str:
    """That an engine which was heard to rev out stays below the speed that a sound one of its kind holds. reached: how
    much of the verdict counts.
    """
    if reached == 1 or heard.peak_rpm is None or design_rpm is None:
        return ""
    at = f"{heard.peak_rpm / design_rpm * 100:.0f} % of its design speed of {rpm_words(design_rpm)}"
    if reached == 0:
        return f"It only gets to {at}, so this counts for nothing yet. Listen to it yourself: what you say counts."
    return f"It only gets to {at}, so this counts in part. Listen to it yourself: what you say counts in full."


def _figures(heard: Heard, design_rpm: float | None) -> tuple[tuple[str, str], ...]:
    def rpm(value: float | None) -> str:
        return "not heard" if value is None else f"{round(value, -1):,.0f} rpm"

    held, breaks_down = heard.held, heard.ceiling_rpm is not None
    lines = [("Idle", rpm(heard.idle_rpm)), ("Highest speed held", rpm(heard.peak_rpm))]
    if breaks_down:
        lines.append(("Ceiling", rpm(heard.ceiling_rpm)))
    lines.append(("Design speed", "not known" if design_rpm is None else rpm(design_rpm)))
    lines.append(("Throttle open", f"{held[0]:.2f} to {held[1]:.2f} s" if held else "not heard"))
    gaps = len(heard.drop_outs)
    lines.append(("Drop-outs", "each too short to mark" if breaks_down and not gaps else str(gaps)))
    lines.append(("Length", f"{heard.seconds:.1f} s"))
    lines.append(("Firings per turn", f"{heard.fires_per_turn:g}"))
    return tuple(lines)


def _why_again(clip: Clip) -> str:
    """Empty where hearing it again would tell nothing new."""
    if clip.state == Clip.NOT_HEARD:
        return "If the cause has been put right, it can be listened to again."
    heard, now = clip.heard, fires_per_turn_of(clip)
    if heard and clip.state == Clip.HEARD and heard.fires_per_turn != now:
        then = heard.fires_per_turn
        return f"It was heard as firing {then:g} times a turn, but the machine is now known to fire {now:g} times."
    return ""
