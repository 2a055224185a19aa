"""What was heard, in words: for the command, pages, trail and mails."""

from __future__ import annotations

from typing import Any

from diagnostics.core.findings import BREAKS_DOWN, REVS_OUT, UNCLEAR
from diagnostics.hearing.core.heard import Heard, HeardReason, to_json

VERDICTS = {REVS_OUT: "it revs out", BREAKS_DOWN: "it breaks down", UNCLEAR: "unclear"}
REASONS = {
    HeardReason.SHORT_CLIP: "The clip is too short to hear a rev-out in it.",
    HeardReason.NO_ENGINE: "No engine can be made out in this clip.",
    HeardReason.NO_RISE: "The speed does not rise in this clip: the throttle was not opened, or it cannot be heard.",
    HeardReason.BEGINS_LATE: "The clip starts with the engine already revved up, so the throttle is not heard opening.",
    HeardReason.NO_TICKOVER: "No tickover can be made out before the throttle opens, so it may not be a rev-out.",
    HeardReason.NO_CLIMB: "The engine cannot be followed as it climbs from tickover, so it may not be a rev-out.",
    HeardReason.SHORT_HOLD: "The engine can be followed at speed for less than a second, which is too short to tell.",
    HeardReason.LONG_HOLD: "It runs at speed far longer than a rev-out lasts, as a machine at work or passing by does.",
    HeardReason.JUMPS: "The sound jumps about as no engine can, so the firing cannot be followed.",
    HeardReason.NO_SWELL: "The sound does not swell as it does when a throttle opens, so it may not be a rev-out.",
    HeardReason.FAINT: "Noise or distortion hides the firing.",
    HeardReason.DOUBT: "It could be either: this clip does not show whether the engine revs out or breaks down.",
    HeardReason.THROWN_BACK: "The engine hits a ceiling: it is thrown back from it again and again.",
    HeardReason.HOLDS: "The engine reaches its speed and holds it.",
    HeardReason.HOLDS_RICH: "It skips turns evenly, as a rich engine does, but it reaches its speed and holds it.",
}
BETTER = (
    "To record a better one: ten seconds of sound only, the phone two metres to the side and out of the wind; three "
    "seconds of tickover first, then the throttle fully open over a second, held for two to three seconds, and shut."
)
OF_THE_MANUAL = (
    *("seconds", "trace", "idle_rpm", "peak_rpm", "held", "verdict", "ceiling_rpm", "drop_outs", "confidence"),
)


def listen_line(clip: str, heard: Heard) -> dict[str, Any]:
    """The object that the command writes. clip: the file's name as given."""
    kept = to_json(heard)
    return {"clip": clip} | {key: kept[key] for key in OF_THE_MANUAL} | {"reason": reason_words(heard)}


def reason_words(heard: Heard) -> str:
    """One sentence that an owner can read."""
    if heard.reason != HeardReason.FAILS:
        return REASONS[heard.reason]
    count = len(heard.drop_outs)
    cuts = f"{count} time{'s' if count != 1 else ''}" if count else "again and again, for a moment each time,"
    return f"The engine hits a ceiling: it cuts out {cuts} while the throttle is held open."


def verdict_words(verdict: str) -> str:
    return VERDICTS.get(verdict, verdict)


def ceiling_words(ceiling_rpm: float | None) -> str:
    """As " at about 7,400 rpm", empty without a ceiling."""
    return "" if ceiling_rpm is None else f" at about {rpm_words(ceiling_rpm)}"


def rpm_words(rpm: float) -> str:
    """To 50 rpm, as one would say it.

    >>> rpm_words(7436.2)
    '7,450 rpm'
    """
    return f"{round(rpm / 50) * 50:,} rpm"


def sure_words(confidence: float) -> str:
    """How often such a verdict is right.

    >>> [sure_words(c) for c in (0.5, 0.62, 0.75, 0.9, 0.96, 0.995)]
    ['one in two', 'six in ten', 'three in four', 'nine in ten', '19 in 20', '99 in 100']
    """
    named = {0.5: "one in two", 0.6: "six in ten", 0.67: "two in three", 0.75: "three in four", 0.8: "four in five"}
    named |= {0.9: "nine in ten", 0.95: "19 in 20", 0.97: "97 in 100", 0.99: "99 in 100"}
    return named[min(named, key=lambda share: (abs(share - confidence), share))]


def right_words(confidence: float) -> str:
    return f"Of clips like this one, {sure_words(confidence)} are heard correctly."


def trouble_words(sentence: str) -> str:
    """Why a clip cannot be heard, from the decoder's sentence.

    >>> trouble_words("clip holds no sound; allowed is a sound or video file.")
    'This clip holds no sound; allowed is a sound or video file.'
    """
    return f"This {sentence}" if sentence.startswith("clip") else sentence
