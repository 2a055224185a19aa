"""Predicted against observed, subject by subject: whether the visit was spoilt, and each group of faults."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from diagnostics.core.bank.bank import GROUPS, NOTHING_WRONG, Bank
from diagnostics.core.learning.calibration import SURE, Predicted, Score, mean_interval, score
from diagnostics.core.learning.closed_visits import ClosedVisit, has_group, scored, was_spoilt

SPOILT = "spoilt"
ALL_GROUPS = (*GROUPS, NOTHING_WRONG)
SUBJECTS = (SPOILT, *ALL_GROUPS)


@dataclass(frozen=True)
class Scored:
    """Figures of one subject. gain: mean by which the log loss beats that of the base rate, which is the observed share
    and so is only known afterwards; low, high: its 95 % interval.
    """

    subject: str
    figures: Score
    gain: float
    low: float
    high: float

    @property
    def is_better(self) -> bool:
        return self.low > 0

    @property
    def is_worse(self) -> bool:
        return self.high < 0


@dataclass(frozen=True)
class AllGroups:
    """The mean of each figure over the groups."""

    brier: float
    base_brier: float
    log_loss: float
    base_log_loss: float


def predictions(bank: Bank, visits: Sequence[ClosedVisit], subject: str) -> list[Predicted]:
    """What was predicted for the subject and whether it came true; for spoilt, only visits booked for the rollers."""
    if subject == SPOILT:
        return [
            Predicted(judged.spoilt_chance, was_spoilt(bank, visit))
            for visit, judged in scored(bank, visits)
            if visit.is_for_the_rollers
        ]
    return [
        Predicted(judged.groups[subject], has_group(bank, visit, subject)) for visit, judged in scored(bank, visits)
    ]


def scores(bank: Bank, visits: Sequence[ClosedVisit]) -> tuple[Scored, ...]:
    """In the order of SUBJECTS; those without a prediction are left out."""
    found = []
    for subject in SUBJECTS:
        stated = predictions(bank, visits, subject)
        figures = score(stated)
        if figures is not None:
            found.append(Scored(subject, figures, *mean_interval(_gains(stated, figures.observed / figures.many))))
    return tuple(found)


def over_all_groups(found: Sequence[Scored]) -> AllGroups | None:
    """All groups together; None if one of them has no figures."""
    figures = [one.figures for one in found if one.subject in ALL_GROUPS]
    if len(figures) < len(ALL_GROUPS):
        return None
    return AllGroups(
        brier=sum(one.brier for one in figures) / len(figures),
        base_brier=sum(one.base_brier for one in figures) / len(figures),
        log_loss=sum(one.log_loss for one in figures) / len(figures),
        base_log_loss=sum(one.base_log_loss for one in figures) / len(figures),
    )


def _gains(stated: Sequence[Predicted], base: float) -> list[float]:
    return [
        _log_of(one.chance if one.observed else 1 - one.chance) - _log_of(base if one.observed else 1 - base)
        for one in stated
    ]


def _log_of(chance: float) -> float:
    return math.log(min(max(chance, SURE), 1.0))
