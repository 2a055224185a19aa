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
class Bin:
    """Predictions above `lowest` up to `highest`. low, high: 95 % interval of the observed share."""

    lowest: float
    highest: float
    many: int
    observed: int
    mean_chance: float
    low: float
    high: float

    @property
    def share(self) -> float:
        return self.observed / self.many

    @property
    def is_too_few(self) -> bool:
        return self.many < TOO_FEW

    @property
    def fits(self) -> bool:
        """Whether the mean chance lies within the interval of the observed share."""
        return self.low <= self.mean_chance <= self.high


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


def bins(predictions: Sequence[Predicted], edges: Sequence[float] = EDGES, z: float = Z_95) -> tuple[Bin, ...]:
    """Predictions grouped by chance; empty bins are left out."""
    found = []
    for lowest, highest in pairwise(edges):
        held = [one for one in predictions if _is_in(one.chance, lowest, highest, edges[0])]
        if held:
            observed = sum(one.observed for one in held)
            mean = sum(one.chance for one in held) / len(held)
            found.append(Bin(lowest, highest, len(held), observed, mean, *wilson(observed, len(held), z)))
    return tuple(found)


def calibration_error(predictions: Sequence[Predicted], edges: Sequence[float] = EDGES) -> float:
    """Mean distance between mean chance and observed share, each bin weighted by its size.

    Source: expected calibration error (Guo et al., ICML 2017; from memory). It depends on the edges.
    """
    return sum(one.many * abs(one.share - one.mean_chance) for one in bins(predictions, edges)) / len(predictions)


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
