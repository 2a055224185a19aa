"""Shares, intervals and verdicts on the page "What we learned"."""

from typing import Protocol

from django import template

from diagnostics.core.learning import learned_words
from diagnostics.core.learning.calibration import Bin, Seen
from diagnostics.core.learning.scores import Scored
from garage.core import money

register = template.Library()


class Interval(Protocol):
    """Anything with two ends, which are shares."""

    @property
    def low(self) -> float: ...

    @property
    def high(self) -> float: ...


@register.filter
def percent(share: float) -> str:
    return learned_words.percent(share)


@register.filter
def subject_words(subject: str) -> str:
    return learned_words.SUBJECT_WORDS[subject]


@register.filter
def band_words(band: Bin) -> str:
    return learned_words.band_words(band)


@register.filter
def interval_words(found: Interval) -> str:
    return learned_words.interval_words(found.low, found.high)


@register.filter
def verdict_words(found: Seen | Scored) -> str:
    if isinstance(found, Seen):
        return learned_words.seen_verdict(found)
    return learned_words.score_verdict(found)


@register.filter
def pence(amount: int) -> str:
    """ "£90.00" """
    return money.pounds_words(money.from_pence(amount))


@register.filter
def thousands(number: int) -> str:
    """ "2,115" """
    return f"{number:,}"


@register.filter
def signed(number: float) -> str:
    """Three decimals with a true minus: "+0.120", "−0.031" """
    return f"{number:+.3f}".replace("-", "−")
