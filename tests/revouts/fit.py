"""Fits what tells a missing firing and a breakdown, and writes it to diagnostics/hearing/core/verdict/fitted.py.

    .venv/bin/python -m tests.revouts.fit [--check]

--check writes nothing, and fails if the numbers it finds are not the project's.

The weights are fitted on the set `fit`. The price of a change, the calibration and the least confidence of a clear
verdict are chosen on the set `choose`. The reported set is not touched.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from multiprocessing import Pool
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.parts import Parts, parts_of
from diagnostics.hearing.core.following.track import Track, follow
from diagnostics.hearing.core.verdict import fitted
from diagnostics.hearing.core.verdict.drop_outs import drop_outs_in, missing
from diagnostics.hearing.core.verdict.features import NAMES, measured
from diagnostics.hearing.core.verdict.firings import firings_in
from diagnostics.hearing.core.verdict.verdict import why_unclear
from tests.revouts.engine import TRUTH_STEP_S
from tests.revouts.listened import samples_of
from tests.revouts.measures import drop_out_counts
from tests.revouts.sets import CHOOSE, FIT, KINDS, Plan, clip

WRITTEN = Path(fitted.__file__)
EACH = {"fit": 40, "choose": 120}  # clips of each kind
PROCESSES = 2
FIRING_NAMES = ("level", "pulse", "wave")
PRICES = (0.0, 0.5, 1.0, 1.5, 2.0)
OFF_AT_MOST, FOLLOWED_AT_LEAST = 0.03, 0.8  # of speed; of the hold
FIRES_AT = 0.25  # of a cycle, which begins where it is quiet
RIDGE = 0.001
# Without a little of it, a calibration line through a handful of wrong verdicts is too steep for other sounds.
LINE_RIDGE = 0.002
# Never less: on sounds unlike the fitted ones (real noise over generated clips) a verdict is surer than it is right.
# More for a breakdown: a saw under load looks more like a breakdown than like none.
LIMITS, BREAKS_LIMITS = (0.85, 0.9, 0.95), (0.9, 0.95)
WRONG_COSTS = 6.0  # of a wrong verdict, relative to an unclear one; common sense, no source


@dataclass
class Seen:
    kind: str
    truth: object
    samples: np.ndarray
    track: Track
    parts: Parts
    why: str


def seen(plan: Plan) -> list[Seen]:
    wanted = [(plan, kind, number) for number in range(EACH[plan.name]) for kind in KINDS]
    with Pool(PROCESSES) as pool:
        return pool.starmap(_seen, wanted, chunksize=8)


def _seen(plan: Plan, kind: str, number: int) -> Seen:
    made = clip(plan, kind, number)
    samples = samples_of(made)
    samples = samples / max(float(np.abs(samples).max()), 1e-9)
    track = follow(samples, made.fires_per_turn)
    parts = parts_of(track, samples)
    return Seen(made.kind, made.truth, samples, track, parts, why_unclear(track, parts))


def logistic(rows: np.ndarray, labels: np.ndarray, ridge: float, rising: bool = False) -> np.ndarray:
    """Weights by maximum likelihood with a small ridge, the constant first. rising: no weight is below 0."""
    given = np.column_stack([np.ones(len(rows)), rows])

    def loss(weights: np.ndarray) -> float:
        total = given @ weights
        return float(np.mean(np.logaddexp(0, total) - labels * total) + ridge * np.sum(weights[1:] ** 2))

    limits = [(None, None)] + [(0.0 if rising else None, None)] * rows.shape[1]
    return minimize(loss, np.zeros(given.shape[1]), method="L-BFGS-B", bounds=limits).x


def followed_well(one: Seen) -> bool:
    """Whether the speed in the hold is right. Otherwise firings are looked for where there are none."""
    moments_s = np.arange(one.truth.held[0], one.truth.held[1], limits.BLOCK_S)
    true = np.interp(moments_s, np.arange(len(one.truth.rpm)) * TRUTH_STEP_S, one.truth.rpm)
    heard = np.interp(moments_s, (np.arange(len(one.track.rpm)) + 0.5) * limits.BLOCK_S, one.track.rpm)
    return float(np.mean(np.abs(heard / true - 1) < OFF_AT_MOST)) > FOLLOWED_AT_LEAST


def fit_missing(those: list[Seen]) -> None:
    rows, labels = [], []
    for one in those:
        if one.truth is None or one.kind in ("rich", "eight") or one.truth.held is None:
            continue
        if not followed_well(one):
            continue
        firings = firings_in(one.track, one.samples, one.truth.held)
        pulse_s = firings.at_s + FIRES_AT * np.gradient(firings.at_s)
        nearest = np.abs(one.truth.at_s[None, :] - pulse_s[:, None]).argmin(axis=1)
        lost = ~one.truth.fired[nearest]
        rows.append(np.column_stack([firings.level, firings.pulse, firings.wave]))
        labels.append(lost)
    weights = logistic(np.concatenate(rows), np.concatenate(labels), 1e-4)
    fitted.MISSING.update(always=weights[0], **dict(zip(FIRING_NAMES, weights[1:], strict=True)))


def choose_price(those: list[Seen]) -> None:
    def harmony(price: float) -> float:
        fitted.MISSING["change"] = price
        counts = np.zeros(3)
        for one in those:
            if one.truth is not None and one.truth.held is not None and one.parts.held is not None:
                firings = firings_in(one.track, one.samples, one.parts.held)
                counts += drop_out_counts(drop_outs_in(firings, missing(firings)), one.truth.drop_outs)
        return float(2 * counts[0] / max(counts[1] + counts[2], 1))

    found = {price: harmony(price) for price in PRICES}
    fitted.MISSING["change"] = max(found, key=found.get)
    say("drop-outs F1 by price:", {price: round(value, 3) for price, value in found.items()})


def table(those: list[Seen]) -> tuple[np.ndarray, np.ndarray, list[Seen]]:
    """Features and truth of the clips that no rule makes unclear; an even limiter has no single truth."""
    rows, labels, kept = [], [], []
    for one in those:
        if one.why or one.truth is None or one.truth.verdict == "unclear" or one.truth.even:
            continue
        firings = firings_in(one.track, one.samples, one.parts.held)
        found, _ = measured(one.track, one.parts, firings, drop_outs_in(firings, missing(firings)))
        rows.append([getattr(found, name) for name in NAMES])
        labels.append(one.truth.verdict == "breaks-down")
        kept.append(one)
    return np.array(rows), np.array(labels), kept


def fit_verdict(fit_set: list[Seen], choose_set: list[Seen]) -> None:
    rows, labels, _ = table(fit_set)
    middle, spread = rows.mean(axis=0), rows.std(axis=0) + 1e-6
    scaled = np.clip((rows - middle) / spread, -3, 3)
    weights = logistic(scaled, labels, RIDGE, rising=True)  # every feature may only speak for a breakdown
    other, truths, kept = table(choose_set)
    totals = np.column_stack([np.ones(len(other)), np.clip((other - middle) / spread, -3, 3)]) @ weights
    line = logistic(totals[:, None], truths, LINE_RIDGE)
    weights = weights * line[1]
    weights[0] += line[0]
    totals = line[0] + line[1] * totals
    fitted.SCALES = {name: (float(m), float(s)) for name, m, s in zip(NAMES, middle, spread, strict=True)}
    fitted.VERDICT = {"always": weights[0], **dict(zip(NAMES, weights[1:], strict=True))}
    chance = 1 / (1 + np.exp(-totals))
    wrong, sure = (chance > 0.5) != truths, np.maximum(chance, 1 - chance)
    fitted.CLEAR_FROM = _cheapest(LIMITS, sure[chance < 0.5], wrong[chance < 0.5])
    fitted.BREAKS_FROM = _cheapest(BREAKS_LIMITS, sure[chance > 0.5], wrong[chance > 0.5])
    ruled = [one for one in choose_set if one.why]
    fitted.RULED_OUT = round(float(np.mean([one.truth is None or one.truth.verdict == "unclear" for one in ruled])), 2)
    say("chosen on:", len(kept), "wrong:", int(np.sum(wrong)), "calibration line:", np.round(line, 3))


def _cheapest(limits: tuple[float, ...], sure: np.ndarray, wrong: np.ndarray) -> float:
    """The least confidence that costs least, counting wrong and unclear verdicts; of equal ones the higher."""
    costs = {limit: WRONG_COSTS * np.sum(wrong & (sure >= limit)) + np.sum(sure < limit) for limit in limits}
    say("costs by least confidence:", {limit: float(cost) for limit, cost in costs.items()})
    return min(costs, key=lambda limit: (costs[limit], -limit))


def say(*words: object) -> None:
    sys.stdout.write(" ".join(map(str, words)) + "\n")


def written() -> str:
    def numbers(name: str, values: dict[str, object]) -> str:
        lines = (f'    "{key}": {_plain(value)},\n' for key, value in values.items())
        return f"{name} = {{\n{''.join(lines)}}}\n"

    return (
        '"""Numbers of the hearing, written by tests/revouts/fit.py: fitted on set `fit`, chosen on `choose`."""\n\n'
        "# log odds that a firing is missing: constant, weight of each measure, price of a change of state\n"
        + numbers("MISSING", fitted.MISSING)
        + "\n# log odds that the ignition breaks down: constant, weight of each feature in units of its spread\n"
        + numbers("VERDICT", fitted.VERDICT)
        + "\n# mean and spread of each feature on the set `fit`\n"
        + numbers("SCALES", fitted.SCALES)
        + "\n# least confidence with which a clip is said to rev out, and to break down\n"
        + f"CLEAR_FROM, BREAKS_FROM = {fitted.CLEAR_FROM}, {fitted.BREAKS_FROM}\n"
        + "\n# share of the clips ruled unclear that could not be answered\n"
        + f"RULED_OUT = {fitted.RULED_OUT}\n"
    )


def _plain(value: object) -> str:
    if isinstance(value, tuple):
        return f"({', '.join(_plain(part) for part in value)})"
    return f"{float(value):.5g}"


def main(check: bool) -> int:
    before = WRITTEN.read_text()
    fit_set, choose_set = seen(FIT), seen(CHOOSE)
    fit_missing(fit_set)
    choose_price(choose_set)
    fit_verdict(fit_set, choose_set)
    if check:
        say("the same numbers" if written() == before else "OTHER NUMBERS than those of the project")
        return int(written() != before)
    WRITTEN.write_text(written())
    return 0


if __name__ == "__main__":
    sys.exit(main("--check" in sys.argv[1:]))
