"""The workshop's page of one clip: what was heard, beside what is known of the machine; and what its picture draws."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils import timezone

from diagnostics.core.judging.heard_chances import limiter_share
from diagnostics.hearing.pages.clips import ClipState, ask_again_s, clips_of, has_picture, picture_words
from diagnostics.hearing.reads.clip_words import (
    BETTER,
    ceiling_words,
    right_words,
    rpm_words,
    sure_words,
    verdict_words,
)
from diagnostics.models.clips import Clip
from diagnostics.reads.bank import the_bank
from diagnostics.reads.machine_facts import machine_facts
from garage.core import states
from garage.models.visits import Visit


@dataclass(frozen=True)
class DrawnClip:
    """What the picture shows. Speeds rpm, None where no firing can be followed; times s; outline 0 to 1."""

    seconds: float
    outline: tuple[float, ...]
    t0_s: float
    step_s: float
    rpm: tuple[float | None, ...]
    held: tuple[float, float] | None
    drop_outs: tuple[tuple[float, float], ...]
    ceiling_rpm: float | None
    design_rpm: float | None


@dataclass(frozen=True)
class ClipPage:
    """verdict: the one that counts, in words; heard_words: the heard one where a person's stands before it.

    sure: how often such a verdict is right; limit: the ceiling against the design speed; figures: name and value.
    """

    visit: Visit
    clip: Clip
    state: ClipState
    giver: str
    verdict: str
    heard_words: str
    sure: str
    limit: str
    figures: tuple[tuple[str, str], ...]
    drop_outs: tuple[tuple[str, str], ...]
    verdicts: tuple[tuple[str, str], ...]
    is_open: bool
    may_be_heard_again: str

    @property
    def needs_a_hand(self) -> bool:
        return self.clip.verdict == Clip.BREAKS_DOWN


def fires_per_turn_of(clip: Clip) -> float:
    """As its machine is known now; one, as a two-stroke single fires, where that is not known."""
    return float(machine_facts(clip.visit.machine).get("fires_per_turn", 1.0))


def clip_page(visit: Visit, clip: Clip) -> ClipPage:
    result = clip.result or {}
    design_rpm = machine_facts(visit.machine).get("design_rpm")
    return ClipPage(
        visit=visit,
        clip=clip,
        state=_state(visit, clip),
        giver=clip.by.name if clip.by else "the owner",
        verdict=_verdict(clip),
        heard_words=f"Heard: {verdict_words(result['verdict'])}." if clip.own_verdict and result else "",
        sure=_sure(clip),
        limit=_limit(result, design_rpm),
        figures=_figures(result, design_rpm),
        drop_outs=tuple((f"{a:.2f} s", f"{(b - a) * 1000:.0f} ms") for a, b in result.get("drop_outs", ())),
        verdicts=Clip.VERDICTS,
        is_open=visit.state not in states.OVER,
        may_be_heard_again=_why_again(clip),
    )


def clip_lines(visit: Visit) -> tuple[tuple[Clip, str], ...]:
    """The clips of a visit with what each says, newest first, for lists."""
    return tuple((clip, _line(clip)) for clip in clips_of(visit))


def drawn(clip: Clip) -> DrawnClip | None:
    """None where there is nothing to draw."""
    if not has_picture(clip):
        return None
    result = clip.result
    return DrawnClip(
        seconds=result["seconds"],
        outline=tuple(result["outline"]),
        t0_s=result["trace"]["t0_s"],
        step_s=result["trace"]["step_s"],
        rpm=tuple(result["trace"]["rpm"]),
        held=tuple(result["held"]) if result["held"] else None,
        drop_outs=tuple((a, b) for a, b in result["drop_outs"]),
        ceiling_rpm=result["ceiling_rpm"],
        design_rpm=machine_facts(clip.visit.machine).get("design_rpm"),
    )


def _state(visit: Visit, clip: Clip) -> ClipState:
    said = {
        Clip.WAITS: "It waits to be heard.",
        Clip.WORKING: "Working on the clip: it takes a few seconds.",
        Clip.NOT_HEARD: clip.trouble,
        Clip.HEARD: "",
    }

    def at(name: str) -> str:
        return reverse(name, args=[visit.number, clip.pk])

    return ClipState(
        clip=clip,
        said=said[clip.state],
        more=BETTER if clip.state == Clip.NOT_HEARD else "",
        ask_again_s=ask_again_s(clip, timezone.now()),
        page_url=at("clip"),
        region="heard",
        picture_url=at("clip-picture") if has_picture(clip) else "",
        picture_words=picture_words(clip),
        sound_url=at("clip-sound"),
        delete_url="",
    )


def _verdict(clip: Clip) -> str:
    if not clip.verdict:
        return ""
    ceiling = ceiling_words(clip.result or {}) if clip.verdict == Clip.BREAKS_DOWN else ""
    return f"{verdict_words(clip.verdict)}{ceiling}".capitalize()


def _sure(clip: Clip) -> str:
    if clip.own_verdict:
        sure = sure_words(the_bank().hearing.own_verdict_confidence)
        return f"It stands before what was heard, and is weighed as one of which {sure} are right."
    if clip.verdict in ("", Clip.UNCLEAR):
        return ""
    return right_words(clip.result["confidence"])


def _limit(result: dict[str, Any], design_rpm: float | None) -> str:
    """Whether the heard ceiling may be the machine's own limiter."""
    ceiling = result.get("ceiling_rpm")
    if ceiling is None:
        return ""
    share = limiter_share(the_bank().hearing, design_rpm, ceiling)
    if share is None or design_rpm is None:
        return "Its design speed is not known: a limiter of its own cannot be told from a false ceiling by sound alone."
    at = f"{ceiling / design_rpm * 100:.0f} % of its design speed of {rpm_words(design_rpm)}"
    if share == 0:
        return f"The ceiling is {at}: a false one."
    return f"The ceiling is {at}: {'that is' if share == 1 else 'that may be'} its own limiter."


def _figures(result: dict[str, Any], design_rpm: float | None) -> tuple[tuple[str, str], ...]:
    def rpm(value: float | None) -> str:
        return "not heard" if value is None else f"{round(value, -1):,.0f} rpm"

    if not result:
        return ()
    held = result["held"]
    lines = [("Idle", rpm(result["idle_rpm"])), ("Highest speed held", rpm(result["peak_rpm"]))]
    if result["ceiling_rpm"] is not None:
        lines.append(("Ceiling", rpm(result["ceiling_rpm"])))
    lines.append(("Design speed", "not known" if design_rpm is None else rpm(design_rpm)))
    lines.append(("Throttle open", f"{held[0]:.2f} to {held[1]:.2f} s" if held else "not heard"))
    gaps, breaks_down = len(result["drop_outs"]), result["ceiling_rpm"] is not None
    lines.append(("Drop-outs", "each too short to mark" if breaks_down and not gaps else str(gaps)))
    lines.append(("Length", f"{result['seconds']:.1f} s"))
    lines.append(("Firings per turn", f"{result['fires_per_turn']:g}"))
    return tuple(lines)


def _why_again(clip: Clip) -> str:
    """Empty where hearing it again would tell nothing new."""
    if clip.state == Clip.NOT_HEARD:
        return "If what was in the way is gone, it can be heard again."
    now = fires_per_turn_of(clip)
    if clip.state == Clip.HEARD and clip.result["fires_per_turn"] != now:
        then = clip.result["fires_per_turn"]
        return f"It was heard as firing {then:g} times a turn; the machine is known now to fire {now:g} times."
    return ""


def _line(clip: Clip) -> str:
    if clip.own_verdict:
        return f"{verdict_words(clip.own_verdict)}, by a person's word"
    if clip.state == Clip.HEARD:
        ceiling = ceiling_words({"ceiling_rpm": clip.result["ceiling_rpm"]})
        return f"{verdict_words(clip.verdict)}{ceiling}"
    return {Clip.WAITS: "waits to be heard", Clip.WORKING: "being heard"}.get(clip.state, "cannot be heard")
