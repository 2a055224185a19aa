"""Which answers moved the judgement: for each, the log odds ratio that leaving it out would undo."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.judging.cells import TOWARDS, Sums, cells_of
from diagnostics.core.judging.evidence import Evidence, Factors, story_factors, story_of, strobe_factors
from diagnostics.core.judging.inference import Model
from diagnostics.core.judging.judgement import Reason

LEAST_WEIGHT = 0.1  # see the manual of `assess`
SAME_DIGITS = 9  # decimals: what differs further on is how a processor sums, and the order of the answers decides
TINY = 1e-300  # keeps the logarithm finite if a chance underflows to 0


def reasons(evidence: Evidence, sums: Sums) -> tuple[Reason, ...]:
    """The answers that move some group's log odds by more than 0.1, strongest first. sums: of the evidence's weights.

    Source: weight of evidence by leaving one out (Good 1950; from memory), as the manual of `assess` says.
    """
    labels, without = _left_out(evidence, sums)
    if not labels:
        return ()
    log_odds = _log_odds(np.vstack([sums.mass, *without]), sums.cells.inside)  # (1 + labels, groups)
    moved = log_odds[0] - log_odds[1:]
    most = np.round(np.abs(moved), SAME_DIGITS).argmax(axis=1).tolist()
    found = [
        Reason(label, TOWARDS[towards], row[towards])
        for label, row, towards in zip(labels, moved.tolist(), most, strict=True)
        if abs(row[towards]) > LEAST_WEIGHT
    ]
    return tuple(sorted(found, key=lambda reason: (-round(abs(reason.weight), SAME_DIGITS), reason.answer)))


def _left_out(evidence: Evidence, sums: Sums) -> tuple[list[str], list[Float64s]]:
    """Labels, and (n, cells) weights with one item left out, in the order of the labels."""
    model, case = evidence.model, evidence.case
    story = _story_in_order(model, case.machine.traits | {case.booked}, tuple(story_of(model, case).items()))
    labels = [*story.labels, *evidence.signs]
    without = [sums.times(story.undo)] if story.labels else []
    without += [sums.without_answers(list(evidence.signs.values()))]
    if evidence.rev_out is not None:
        label, chance = evidence.rev_out
        labels.append(label)
        without.append(sums.times(1.0 / chance.take(sums.cells.order)[None]))
    if evidence.strobe is not None:
        strobe = strobe_factors(evidence)
        labels += strobe.labels
        without.append(sums.times_combinations(strobe.undo))
    return labels, without


@lru_cache(maxsize=256)
def _story_in_order(model: Model, traits: frozenset[str], answers: tuple[tuple[str, tuple[str, ...]], ...]) -> Factors:
    """The factors for leaving out each part of the story, sets in the order of the cells. Cached: many machines share
    one.
    """
    factors = story_factors(model, traits, dict(answers))
    return Factors(factors.labels, factors.undo.take(cells_of(model).order, axis=1))


def _log_odds(of_cell: Float64s, inside: Float64s) -> Float64s:
    """(n, groups) log odds from weights (n, cells). Both sides are summed separately, so that a tiny one is not lost in
    rounding.
    """
    sides = of_cell @ np.hstack([inside, 1.0 - inside])
    log = np.log(np.maximum(sides, TINY))
    return np.asarray(log[:, : len(TOWARDS)] - log[:, len(TOWARDS) :])
