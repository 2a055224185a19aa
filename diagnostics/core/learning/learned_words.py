"""What we learned, in words: subjects, bands of chance, and the summary sentences."""

from __future__ import annotations

from collections.abc import Sequence

from diagnostics.core.bank.bank import Fault
from diagnostics.core.learning.balance import Balance
from diagnostics.core.learning.calibration import TOO_FEW, Bin, Seen
from diagnostics.core.learning.scores import SPOILT, Scored

SUBJECT_WORDS = {
    SPOILT: "a fault that spoils the visit",
    "ignition": "ignition",
    "fuel-air": "fuel and air",
    "mechanical": "something mechanical",
    "nothing-wrong": "nothing wrong",
}
TOO_FEW_WORDS = "too few to say"
AS_PREDICTED = "as predicted"
MORE_OFTEN, LESS_OFTEN = "more often than predicted", "less often than predicted"


def percent(share: float) -> str:
    """A share, 0 to 1, as a whole percentage, or with one decimal below ten.

    >>> percent(0.314), percent(0.035), percent(1)
    ('31%', '3.5%', '100%')
    """
    hundredths = 100 * share
    return f"{hundredths:.1f}%" if 0 < hundredths < 9.95 else f"{hundredths:.0f}%"


def interval_words(low: float, high: float) -> str:
    """The two ends of an interval of a share.

    >>> interval_words(0.02, 0.314)
    '2.0 to 31%'
    """
    return f"{percent(low).removesuffix('%')} to {percent(high)}"


def band_words(band: Bin) -> str:
    """ "20 to 40%" """
    return f"{100 * band.lowest:.0f} to {100 * band.highest:.0f}%"


def seen_verdict(seen: Seen) -> str:
    if seen.is_too_few:
        return TOO_FEW_WORDS
    return MORE_OFTEN if seen.is_more_often else LESS_OFTEN if seen.is_less_often else AS_PREDICTED


def score_verdict(one: Scored) -> str:
    if one.figures.is_too_few:
        return TOO_FEW_WORDS
    if one.is_better:
        return "better than the base rate"
    return "worse than the base rate" if one.is_worse else "no better than the base rate, so far"


def short_name(fault: Fault) -> str:
    """Its name as a label in a picture: up to the first bracket or colon, without the article.

    >>> from dataclasses import replace
    >>> from diagnostics.core.bank.bank import Fault
    >>> short_name(Fault("x", "ignition", "the high-tension side: plug or cap", frozenset(), False, 0.1, {}))
    'high-tension side'
    """
    name = fault.say.split(" (")[0].split(":")[0]
    return name.removeprefix("the ").removeprefix("a ").removeprefix("an ")


def bands_alt(subject: str, bands: Sequence[Bin]) -> str:
    """The picture of the bands in words. The table beside it has every number."""
    points = [
        f"{band_words(band)} predicted: {TOO_FEW_WORDS}"
        if band.is_too_few
        else f"{band_words(band)} predicted: {percent(band.share)} observed, {seen_verdict(band)}"
        for band in bands
    ]
    return f"Predicted against observed, {SUBJECT_WORDS[subject]}. " + "; ".join(points) + "."


def faults_alt(rows: Sequence[tuple[str, Seen]]) -> str:
    """The picture of the faults in words. The table beside it has every number."""
    outside = [f"{name} {seen_verdict(seen)}" for name, seen in rows if seen.is_surprise]
    return f"{len(rows)} faults, predicted against observed. Outside their interval: {', '.join(outside) or 'none'}."


def scored_sentence(closed: int, scored: int) -> str:
    """How many cards the page is based on.

    >>> scored_sentence(30, 24)
    '24 of 30 closed cards can be compared with a judgement made before the machine came in.'
    """
    cards = "1 closed card" if closed == 1 else f"{closed} closed cards"
    return f"{scored} of {cards} can be compared with a judgement made before the machine came in."


def chances_sentence(found: Sequence[Scored]) -> str:
    """Whether the chances were better than always predicting the base rate."""
    spoilt = next((one for one in found if one.subject == SPOILT), None)
    if spoilt is None or spoilt.figures.is_too_few:
        many = spoilt.figures.many if spoilt else 0
        return f"It takes {TOO_FEW} visits booked for the rollers to say how right the chances were: so far {many}."
    figures = spoilt.figures
    how = "better" if spoilt.is_better else "worse" if spoilt.is_worse else "so far no better"
    return (
        f"Spoilt visits were predicted {how} than by always giving the base rate: "
        f"log loss {figures.log_loss:.3f} against {figures.base_log_loss:.3f}."
    )


def minutes_sentence(balance: Balance) -> str:
    """Roller minutes saved and wasted; the page shows the pounds beside it."""
    saved, wasted, nothing = balance.saved, balance.wasted, balance.for_nothing
    return (
        f"{_visits(saved.visits)} went to the bench before the rollers and had a fault that would have spoilt "
        f"{'it' if saved.visits == 1 else 'them'}: {saved.minutes:,} roller minutes saved. "
        f"{_visits(wasted.visits)} went on the rollers and "
        f"{'was' if wasted.visits == 1 else 'were'} spoilt: {wasted.minutes:,} minutes wasted. "
        f"{_visits(nothing.visits)} went to the bench first for nothing."
    )


def _visits(count: int) -> str:
    """How many, to begin a sentence with.

    >>> _visits(0), _visits(1), _visits(12)
    ('No visit', '1 visit', '12 visits')
    """
    return "No visit" if count == 0 else "1 visit" if count == 1 else f"{count} visits"
