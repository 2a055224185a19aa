"""One clip as its state's fragment shows it, to owner and workshop alike (templates/hearing/_clip_state.html)."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from diagnostics.hearing.core.heard_words import rpm_words, verdict_words
from diagnostics.hearing.models.clips import Clip
from garage.core.text.languages import in_figures, told

ASK_AGAIN_S = (2, 30)  # between two looks at a clip that is worked on: at first, and at most
BACK_OFF = 0.4  # of its age: who has waited a minute can wait another 24 s


@dataclass(frozen=True)
class ClipState:
    """said: one sentence; more: what else is to be said. ask_again_s: None once nothing changes by itself.

    region: id of the part of page_url that is fetched anew while it is worked on. picture_url: empty where there is
    nothing to draw; delete_url: empty where the page has its own way to delete.
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


def ask_again_s(clip: Clip, now: datetime) -> int | None:
    """Seconds until the page looks again, longer the longer it has waited; None where nothing is awaited."""
    if clip.state not in (Clip.WAITS, Clip.WORKING):
        return None
    first, most = ASK_AGAIN_S
    return round(min(max(first, BACK_OFF * (now - clip.at).total_seconds()), most))


def has_picture(clip: Clip) -> bool:
    return clip.state == Clip.HEARD and clip.heard is not None and bool(clip.heard.outline)


def picture_words(clip: Clip) -> str:
    """What the picture shows, for who does not see it."""
    heard = clip.heard
    if heard is None or not has_picture(clip):
        return ""
    seconds, verdict = f"{heard.seconds:.0f}", verdict_words(clip.verdict)
    parts = [told("Engine speed over {seconds} seconds of sound: {verdict}.", seconds=seconds, verdict=verdict)]
    if heard.idle_rpm is not None:
        parts.append(told("Idle {rpm}.", rpm=rpm_words(heard.idle_rpm)))
    if heard.peak_rpm is not None:
        parts.append(told("Highest speed held {rpm}.", rpm=rpm_words(heard.peak_rpm)))
    if heard.held:
        begins, ends = (in_figures(f"{at:.1f}") for at in heard.held)
        parts.append(told("Throttle open from {begins} to {ends} s.", begins=begins, ends=ends))
    if heard.drop_outs:
        parts.append(told("Drop-outs marked: {count}.", count=len(heard.drop_outs)))
    return " ".join(parts)
