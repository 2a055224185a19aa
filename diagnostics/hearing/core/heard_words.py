"""What was heard, in words, in the language in force: for the command, pages, trail and mails."""

from __future__ import annotations

from typing import Any

from diagnostics.core.findings import BREAKS_DOWN, REVS_OUT, UNCLEAR
from diagnostics.hearing.core.heard import Heard, HeardReason, to_json
from garage.core.text.languages import ENGLISH, in_figures, language_in_force, told, told_later

VERDICTS = {
    REVS_OUT: told_later("it revs out"),
    BREAKS_DOWN: told_later("it breaks down"),
    UNCLEAR: told_later("unclear"),
}
REASONS = {
    HeardReason.SHORT_CLIP: told_later("The clip is too short to hear a rev-out in it."),
    HeardReason.NO_ENGINE: told_later("No engine can be made out in this clip."),
    HeardReason.NO_RISE: told_later(
        "The speed does not rise in this clip: the throttle was not opened, or it cannot be heard."
    ),
    HeardReason.BEGINS_LATE: told_later(
        "The clip starts with the engine already revved up, so the throttle is not heard opening."
    ),
    HeardReason.NO_TICKOVER: told_later(
        "No tickover can be made out before the throttle opens, so it may not be a rev-out."
    ),
    HeardReason.NO_CLIMB: told_later(
        "The engine cannot be followed as it climbs from tickover, so it may not be a rev-out."
    ),
    HeardReason.SHORT_HOLD: told_later(
        "The engine can be followed at speed for less than a second, which is too short to tell."
    ),
    HeardReason.LONG_HOLD: told_later(
        "It runs at speed far longer than a rev-out lasts, as a machine at work or passing by does."
    ),
    HeardReason.JUMPS: told_later("The sound jumps about as no engine can, so the firing cannot be followed."),
    HeardReason.NO_SWELL: told_later(
        "The sound does not swell as it does when a throttle opens, so it may not be a rev-out."
    ),
    HeardReason.FAINT: told_later("Noise or distortion hides the firing."),
    HeardReason.DOUBT: told_later(
        "It could be either: this clip does not show whether the engine revs out or breaks down."
    ),
    HeardReason.THROWN_BACK: told_later("The engine hits a ceiling: it is thrown back from it again and again."),
    HeardReason.HOLDS: told_later("The engine reaches its speed and holds it."),
    HeardReason.HOLDS_RICH: told_later(
        "It skips turns evenly, as a rich engine does, but it reaches its speed and holds it."
    ),
}
BETTER = told_later(
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
        return told(REASONS[heard.reason])
    count = len(heard.drop_outs)
    if not count:
        return told(
            "The engine hits a ceiling: it cuts out again and again, for a moment each time, while the throttle is "
            "held open."
        )
    if count == 1:
        return told("The engine hits a ceiling: it cuts out 1 time while the throttle is held open.")
    return told("The engine hits a ceiling: it cuts out {count} times while the throttle is held open.", count=count)


def verdict_words(verdict: str) -> str:
    return told(VERDICTS[verdict]) if verdict in VERDICTS else verdict


def ceiling_words(ceiling_rpm: float | None) -> str:
    """As " at about 7,400 rpm", empty without a ceiling."""
    return "" if ceiling_rpm is None else " " + told("at about {rpm}", rpm=rpm_words(ceiling_rpm))


def rpm_words(rpm: float) -> str:
    """To 50 rpm, as one would say it.

    >>> rpm_words(7436.2)
    '7,450 rpm'
    """
    return told("{speed} rpm", speed=in_figures(f"{round(rpm / 50) * 50:,}"))


def sure_words(confidence: float) -> str:
    """How often such a verdict is right.

    >>> [sure_words(c) for c in (0.5, 0.62, 0.75, 0.9, 0.96, 0.995)]
    ['one in two', 'six in ten', 'three in four', 'nine in ten', '19 in 20', '99 in 100']
    """
    return told(_HOW_OFTEN[min(_HOW_OFTEN, key=lambda share: (abs(share - confidence), share))])


_HOW_OFTEN = {
    0.5: told_later("one in two"),
    0.6: told_later("six in ten"),
    0.67: told_later("two in three"),
    0.75: told_later("three in four"),
    0.8: told_later("four in five"),
    0.9: told_later("nine in ten"),
    0.95: told_later("19 in 20"),
    0.97: told_later("97 in 100"),
    0.99: told_later("99 in 100"),
}


def right_words(confidence: float) -> str:
    return told("Of clips like this one, {share} are heard correctly.", share=sure_words(confidence))


def trouble_words(sentence: str) -> str:
    """Why a clip cannot be heard, from the decoder's sentence.

    >>> trouble_words("clip holds no sound; allowed is a sound or video file.")
    'This clip holds no sound; allowed is a sound or video file.'
    """
    return f"This {sentence}" if sentence.startswith("clip") else sentence


def trouble_told(kept: str) -> str:
    """A kept sentence of why a clip cannot be heard, for its owner. One with a figure or a name in it, which no
    catalogue can hold, is told whole in other words.
    """
    if language_in_force() == ENGLISH or not kept:
        return kept
    head, semicolon, tail = kept.partition("; ")
    said = [told(part) for part in (head, tail) if part in _TROUBLES]
    if len(said) == 1 + bool(semicolon):
        return "; ".join(said)
    return told("This clip cannot be used. Please record it again, for at most 3 minutes, or send another file.")


_TROUBLES = (
    told_later("This clip is a picture, not a sound"),
    told_later("This clip is not a file"),
    told_later("This clip is empty (0 bytes)"),
    told_later("This clip is a text, not a sound"),
    told_later("This clip is of an unknown kind"),
    told_later("This clip is damaged, or not a sound at all"),
    told_later("This clip holds no sound"),
    told_later("This clip holds no sound (its track has no length)"),
    told_later("This clip is longer than 3 minutes"),
    told_later("This clip needs too much memory to be decoded"),
    told_later("This clip crashed the decoder"),
    told_later("This clip took more than 60 s to decode"),
    told_later("This clip took more than 120 s to be heard"),
    told_later(
        "allowed is a sound or video file as a phone makes it: wav, mp3, m4a, mp4, webm, ogg, flac, caf, amr or 3gp."
    ),
    told_later("allowed is a sound or video file as a phone makes it: please try to record it again."),
    told_later("allowed is a clip of at most 3 minutes and 100 MB."),
    told_later("allowed is a clip of at most 3 minutes."),
)
