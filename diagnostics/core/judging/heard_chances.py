"""How a clip's verdict bears on what the rev-out showed, given its confidence and the machine's own speed."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.bank.bank import Hearing
from diagnostics.core.findings import BREAKS_DOWN, REVS_OUT, ClipVerdict, MachineFacts

GETS_THERE = ("clean", "smoky")
CEILING = "ceiling"


def limiter_share(hearing: Hearing, design_rpm: float | None, ceiling_rpm: float | None) -> float | None:
    """How far a heard ceiling is put down to the machine's own limiter: 0 not at all, 1 wholly; None if a speed is
    unknown.

    1 at the upper limit and above, 0 at the lower limit and below, with a smooth step between them.

    >>> hearing = Hearing(0.97, 0.95, 0.90, 0.5, 0.95, 0.90, 0.80)
    >>> [round(limiter_share(hearing, 10000, c), 3) for c in (8900, 9000, 9250, 9500)]
    [0.0, 0.0, 0.5, 1.0]
    """
    if design_rpm is None or ceiling_rpm is None:
        return None
    return _smooth_step(ceiling_rpm / design_rpm, hearing.limiter_not_below, hearing.limiter_from)


def reached_share(hearing: Hearing, design_rpm: float | None, peak_rpm: float | None) -> float:
    """How much of a clip that revs out counts, by the highest speed that it holds: 1 in full, also where a speed is
    unknown.

    A sound engine reaches its design speed and holds it, a rich one too or nearly. One that stays far below has not
    revved out, however evenly it was heard to run: it may fail there in a way that walls hide, the throttle may not
    have been open, or every second firing was followed.

    >>> hearing = Hearing(0.97, 0.95, 0.90, 0.5, 0.95, 0.90, 0.80)
    >>> [round(reached_share(hearing, 10000, rpm), 3) for rpm in (6600, 8000, 8500, 9000)]
    [0.0, 0.0, 0.5, 1.0]
    """
    if design_rpm is None or peak_rpm is None:
        return 1.0
    return _smooth_step(peak_rpm / design_rpm, hearing.revs_out_not_below, hearing.revs_out_from)


def _smooth_step(at: float, below: float, above: float) -> float:
    """0 at `below` and less, 1 at `above` and more."""
    span = above - below
    way = min(max((at - below) / span, 0.0), 1.0) if span > 0 else float(at >= above)
    return way * way * (3 - 2 * way)


def heard_chances(hearing: Hearing, machine: MachineFacts, heard: ClipVerdict, shown: Sequence[str]) -> Float64s | None:
    """Likelihood of the verdict for each thing the test may have shown, in the order of `shown`; None if it has no
    weight.

    A share c of clips heard with confidence c is right, so the odds of ceiling to no ceiling are c to 1 − c. A
    confidence of one half or less has no weight. For an engine that dies away the likelihood is the geometric mean of
    the two. If a heard ceiling cannot be compared with the machine's speed, its log weight is halved. That of a clip
    which revs out is lessened by as much as it stays below the design speed.
    """
    sure = min(heard.confidence, hearing.confidence_at_most)
    reached = reached_share(hearing, machine.design_rpm, heard.peak_rpm) if heard.verdict == REVS_OUT else 1.0
    if heard.verdict not in (REVS_OUT, BREAKS_DOWN) or sure <= 0.5 or reached == 0:
        return None
    ceiling, gets_there = (sure, 1 - sure) if heard.verdict == BREAKS_DOWN else ((1 - sure) ** reached, sure**reached)
    if heard.verdict == BREAKS_DOWN:
        limiter = limiter_share(hearing, machine.design_rpm, heard.ceiling_rpm)
        if limiter is None:
            ceiling, gets_there = (side**hearing.weight_without_design_rpm for side in (ceiling, gets_there))
        else:
            ceiling = (1 - limiter) * sure + limiter * (1 - sure)
            gets_there = 1 - ceiling
    by_name = {CEILING: ceiling} | dict.fromkeys(GETS_THERE, gets_there)
    return np.array([by_name.get(name, (ceiling * gets_there) ** 0.5) for name in shown])


def contradiction(chances: Float64s, shown: Sequence[str], said: str) -> float:
    """How strongly the clip contradicts the owner's answer, 0 to 1. Only a ceiling against revving out can.

    >>> round(contradiction(np.array([0.05, 0.05, 0.218, 0.95]), ("clean", "smoky", "dies", "ceiling"), "clean"), 3)
    0.9
    """
    by_name = dict(zip(shown, chances.tolist(), strict=True))
    ceiling = by_name[CEILING] / (by_name[CEILING] + by_name[GETS_THERE[0]])
    against = {CEILING: 1 - 2 * ceiling} | dict.fromkeys(GETS_THERE, 2 * ceiling - 1)
    return max(0.0, float(against.get(said, 0.0)))
