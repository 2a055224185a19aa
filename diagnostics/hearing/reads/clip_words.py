"""What was heard in a clip, in words: for pages, trail and mails."""

from __future__ import annotations

from typing import Any

from diagnostics.models.clips import Clip

WORDS = {Clip.REVS_OUT: "it revs out", Clip.BREAKS_DOWN: "it breaks down", Clip.UNCLEAR: "unclear"}
BETTER = (
    "To record a better one: ten seconds of sound only, the phone two metres to the side and out of the wind; three "
    "seconds of idle first, then the throttle fully open over a second, held two to three seconds, and shut."
)


def trouble_words(sentence: str) -> str:
    """Why a clip cannot be heard, from the decoder's sentence.

    >>> trouble_words("clip holds no sound; allowed is a sound or video file.")
    'This clip holds no sound; allowed is a sound or video file.'
    """
    return f"This {sentence}" if sentence.startswith("clip") else sentence


def verdict_words(verdict: str) -> str:
    return WORDS.get(verdict, verdict)


def ceiling_words(result: dict[str, Any]) -> str:
    """As " at about 7,400 rpm", empty without a ceiling."""
    ceiling = result.get("ceiling_rpm")
    return "" if ceiling is None else f" at about {rpm_words(ceiling)}"


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
    return f"Of clips like this one, {sure_words(confidence)} are heard rightly."
