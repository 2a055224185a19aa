"""How good the predicted chances were: intervals, Brier score, log loss and calibration."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

Z_95 = 1.959963984540054  # standard normal, two-sided 95 %
TOO_FEW = 20  # fewer predictions than this say nothing; common practice, no source
EDGES = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)  # of the bins; each includes its upper edge, the first its lower edge too
SURE = 1e-12  # chances are clipped to this distance from 0 and 1, so that one miss costs a lot, not everything


@dataclass(frozen=True)
class Predicted:
    """One predicted chance, 0 to 1, and whether it came true."""

    chance: float
    observed: bool


@dataclass(frozen=True)
class Seen:
    """predicted: mean chance over `many` cases; observed: in how many; low, high: interval of the observed share."""

    many: int
    observed: int
    predicted: float
    low: float
    high: float

    @property
    def share(self) -> float:
        return self.observed / self.many

    @property
    def is_too_few(self) -> bool:
        return self.many < TOO_FEW

    @property
    def is_more_often(self) -> bool:
        return not self.is_too_few and self.predicted < self.low

    @property
    def is_less_often(self) -> bool:
        return not self.is_too_few and self.predicted > self.high

    @property
    def is_surprise(self) -> bool:
        return self.is_more_often or self.is_less_often


@dataclass(frozen=True)
class Bin(Seen):
    """Predictions above `lowest` up to `highest`."""

    lowest: float
    highest: float


@dataclass(frozen=True)
class Score:
    """Of many predictions; base_*: of always predicting the base rate, which is the observed share."""

    many: int
    observed: int
    brier: float
    base_brier: float
    log_loss: float
    base_log_loss: float
    calibration_error: float

    @property
    def is_too_few(self) -> bool:
        return self.many < TOO_FEW


def wilson(observed: int, many: int, z: float = Z_95) -> tuple[float, float]:
    """Interval of a share, 0 to 1; the whole range if there are no cases.

    Source: Wilson 1927, score interval (from memory; checked against SciPy in the tests).

    >>> [round(end, 4) for end in wilson(8, 10)]
    [0.4902, 0.9433]
    """
    if many == 0:
        return 0.0, 1.0
    share, spread = observed / many, z * z / many
    middle = (share + spread / 2) / (1 + spread)
    half = z * math.sqrt(share * (1 - share) / many + spread / (4 * many)) / (1 + spread)
    return max(0.0, middle - half), min(1.0, middle + half)


def mean_interval(values: Sequence[float], z: float = Z_95) -> tuple[float, float, float]:
    """Mean and the ends of its normal interval, which are infinite for fewer than two values.

    Source: central limit theorem, standard error with n − 1 (any textbook; checked against SciPy in the tests).

    >>> [round(end, 4) for end in mean_interval([1.0, 2.0, 3.0, 4.0])]
    [2.5, 1.2348, 3.7652]
    """
    mean = math.fsum(values) / len(values)
    if len(values) < 2:
        return mean, -math.inf, math.inf
    half = z * math.sqrt(math.fsum((value - mean) ** 2 for value in values) / (len(values) - 1) / len(values))
    return mean, mean - half, mean + half


def brier(predictions: Sequence[Predicted]) -> float:
    """Mean square of chance minus outcome. Raises ZeroDivisionError if there are none. Source: Brier 1950."""
    return sum((one.chance - one.observed) ** 2 for one in predictions) / len(predictions)


def log_loss(predictions: Sequence[Predicted]) -> float:
    """Mean of minus the natural log of the chance given to what was observed. Source: definition."""
    return -sum(_log_of_observed(one) for one in predictions) / len(predictions)


def seen_in(predictions: Sequence[Predicted], z: float = Z_95) -> Seen:
    """Mean chance and observed share, with the share's interval. Raises ZeroDivisionError if there are none."""
    many, observed = len(predictions), sum(one.observed for one in predictions)
    return Seen(many, observed, sum(one.chance for one in predictions) / many, *wilson(observed, many, z))


def bins(predictions: Sequence[Predicted], edges: Sequence[float] = EDGES, z: float = Z_95) -> tuple[Bin, ...]:
    """Predictions grouped by chance; empty bins are left out."""
    found = []
    for lowest, highest in pairwise(edges):
        held = [one for one in predictions if _is_in(one.chance, lowest, highest, edges[0])]
        if held:
            seen = seen_in(held, z)
            found.append(Bin(**vars(seen), lowest=lowest, highest=highest))
    return tuple(found)


def calibration_error(predictions: Sequence[Predicted], edges: Sequence[float] = EDGES) -> float:
    """Mean distance between mean chance and observed share, each bin weighted by its size.

    Source: expected calibration error (Guo et al., ICML 2017; from memory). It depends on the edges.
    """
    return sum(one.many * abs(one.share - one.predicted) for one in bins(predictions, edges)) / len(predictions)


def score(predictions: Sequence[Predicted]) -> Score | None:
    """All the figures; None if there are no predictions."""
    if not predictions:
        return None
    observed = sum(one.observed for one in predictions)
    base = [Predicted(observed / len(predictions), one.observed) for one in predictions]
    return Score(
        many=len(predictions),
        observed=observed,
        brier=brier(predictions),
        base_brier=brier(base),
        log_loss=log_loss(predictions),
        base_log_loss=log_loss(base),
        calibration_error=calibration_error(predictions),
    )


def _log_of_observed(one: Predicted) -> float:
    chance = one.chance if one.observed else 1 - one.chance
    return math.log(min(max(chance, SURE), 1.0))


def _is_in(chance: float, lowest: float, highest: float, first: float) -> bool:
    return lowest < chance <= highest or (chance == lowest == first)
