"""Fits what tells a missing firing and a breakdown, and writes it to diagnostics/hearing/core/verdict/fitted.py.

    .venv/bin/python -m tests.revouts.fit [--kept FOLDER] [--check]

--kept reads the clips that tests/revouts/domains.py kept there, where it has them, instead of making them again.
--check writes nothing, and fails if the numbers it finds are not the project's. Domains that need sounds from beside
the project are left out where those are not there; the numbers are then others.

The weights are fitted on every domain of FIT together, each weighing the same. How sure a verdict is, is found on each
domain in turn with weights that were fitted on the others: so it holds for an engine and a yard that nothing was fitted
on. From where on it is clear follows from that and from what a wrong verdict costs. The price of a change of firing is
chosen on the set `choose`. The reported sets are not touched.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from multiprocessing import Pool
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

from diagnostics.core.findings import BREAKS_DOWN, REVS_OUT, UNCLEAR
from diagnostics.hearing.core import limits, verdict_limits
from diagnostics.hearing.core.following.parts import Parts, loudness, parts_of
from diagnostics.hearing.core.following.track import Track, follow
from diagnostics.hearing.core.hear import judged
from diagnostics.hearing.core.heard import HeardReason
from diagnostics.hearing.core.verdict import fitted
from diagnostics.hearing.core.verdict.drop_outs import drop_outs_in, missing
from diagnostics.hearing.core.verdict.features import NAMES, SIGNS, HeardHold, measured
from diagnostics.hearing.core.verdict.firings import firings_in
from diagnostics.hearing.core.verdict.verdict import why_unclear
from tests.revouts.domains import Example, examples, kept
from tests.revouts.engine import TRUTH_STEP_S
from tests.revouts.measures import drop_out_counts

WRITTEN = Path(fitted.__file__)
FIT = (("own old", 220, 41), ("own wide", 200, 61), ("foreign", 200, 7), ("saws", 160, 71))
CHOOSE = (("own old", 220, 52),)
PROCESSES = 2
FIRING_NAMES = ("level", "pulse", "wave")
EVEN_KINDS = ("rich", "eight", "steady")  # skip turns in a rhythm: what is missing there is no failing
PRICES = (0.0, 0.5, 1.0, 1.5, 2.0)
OFF_AT_MOST, FOLLOWED_AT_LEAST = 0.03, 0.8  # of speed; of the hold
FIRES_AT = 0.25  # of a cycle, which begins where it is quiet
RIDGE = 0.005
# Without a little of it, a calibration line through a handful of wrong verdicts is too steep for other sounds.
LINE_RIDGE = 0.002
BOUNDS = {1: (0.0, None), 0: (None, None), -1: (None, 0.0)}  # of a weight, by its sign
# Of a wrong verdict, relative to an unclear one; common sense, no source. A wrong breakdown costs an owner a visit:
# with 6 instead of 10, over 2 % of the sound engines of a domain left out were called broken.
WRONG_COSTS, WRONG_BREAKDOWN_COSTS = 4.0, 10.0
CLEAR = (HeardReason.HOLDS, HeardReason.HOLDS_RICH, HeardReason.FAILS, HeardReason.THROWN_BACK)
LEAST_DB = 5.0  # of signal to noise: below, a clip need not be answerable
SEEN_AT_LEAST = 4.0  # clips, half of them unanswerable, that each reason begins with (Laplace)


@dataclass
class Seen:
    domain: str
    kind: str
    snr_db: float
    allowed: tuple[str, ...]
    truth: object
    samples: np.ndarray
    track: Track
    parts: Parts
    why: HeardReason | None


def seen(domains: tuple[tuple[str, int, int], ...], folder: Path | None) -> list[Seen]:
    with Pool(PROCESSES) as pool:
        return list(pool.imap(_seen, _examples(domains, folder), chunksize=8))


def _examples(domains: tuple[tuple[str, int, int], ...], folder: Path | None) -> Iterator[Example]:
    for domain, count, seed in domains:
        there = folder / f"{domain.replace(' ', '_')}-{seed}" if folder else None
        made = kept(there) if there and (there / "truth.jsonl").exists() else examples(domain, count, seed)
        yield from (one for _, one in zip(range(count), made, strict=False))


def _seen(one: Example) -> Seen:
    samples = one.samples / max(float(np.abs(one.samples).max()), 1e-9)
    track = follow(samples, one.fires_per_turn)
    parts = parts_of(track, samples)
    snr_db = -np.inf if one.truth is None else np.inf if one.snr_db is None else one.snr_db
    return Seen(
        *(one.domain, one.kind, float(snr_db), one.allowed, one.truth),
        *(samples, track, parts, why_unclear(track, parts)),
    )


def logistic(
    rows: np.ndarray, labels: np.ndarray, ridge: float, signs: tuple[int, ...] | None = None, weights: object = None
) -> np.ndarray:
    """Weights by maximum likelihood with a small ridge, the constant first. signs: 1 where a weight is not below 0,
    -1 where it is not above. weights: (rows,) how much each counts.
    """
    given = np.column_stack([np.ones(len(rows)), rows])
    counts = np.ones(len(rows)) / len(rows) if weights is None else np.asarray(weights) / np.sum(weights)

    def loss(found: np.ndarray) -> tuple[float, np.ndarray]:
        total = given @ found
        slope = given.T @ (counts * (1 / (1 + np.exp(-np.clip(total, -500, 500))) - labels))
        slope[1:] += 2 * ridge * found[1:]
        return float(counts @ (np.logaddexp(0, total) - labels * total) + ridge * np.sum(found[1:] ** 2)), slope

    bounds = [(None, None)] + [BOUNDS[sign] for sign in signs or (0,) * rows.shape[1]]
    return minimize(loss, np.zeros(given.shape[1]), jac=True, method="L-BFGS-B", bounds=bounds).x


def followed_well(one: Seen) -> bool:
    """Whether the speed in the hold is right. Otherwise firings are looked for where there are none."""
    moments_s = np.arange(one.truth.held[0], one.truth.held[1], limits.BLOCK_S)
    true = np.interp(moments_s, np.arange(len(one.truth.rpm)) * TRUTH_STEP_S, one.truth.rpm)
    heard = np.interp(moments_s, (np.arange(len(one.track.rpm)) + 0.5) * limits.BLOCK_S, one.track.rpm)
    return float(np.mean(np.abs(heard / true - 1) < OFF_AT_MOST)) > FOLLOWED_AT_LEAST


def fit_missing(those: list[Seen]) -> None:
    rows, labels = [], []
    for one in those:
        if one.truth is None or one.kind in EVEN_KINDS or one.truth.held is None or not len(one.truth.at_s):
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


@dataclass
class Table:
    """Features and truth of the clips that no rule makes unclear and that have one right verdict."""

    rows: np.ndarray
    labels: np.ndarray
    domains: np.ndarray
    snr_db: np.ndarray

    @property
    def weights(self) -> np.ndarray:
        """Each domain weighs the same, and so do the sound engines and the failing ones in it."""
        out = np.zeros(len(self.rows))
        for domain in sorted(set(self.domains)):
            for label in (False, True):
                where = (self.domains == domain) & (self.labels == label)
                out[where] = 1 / max(where.sum(), 1)
        return out

    def only(self, where: np.ndarray) -> Table:
        return Table(self.rows[where], self.labels[where], self.domains[where], self.snr_db[where])


def table(those: list[Seen]) -> Table:
    kept_ones = [one for one in those if not one.why and one.allowed in ((REVS_OUT,), (BREAKS_DOWN,))]
    rows = []
    for one in kept_ones:
        firings = firings_in(one.track, one.samples, one.parts.held)
        found, _ = measured(HeardHold(one.track, one.parts, firings, missing(firings), loudness(one.samples)))
        rows.append([getattr(found, name) for name in NAMES])
    return Table(
        np.array(rows).reshape(-1, len(NAMES)),
        np.array([one.allowed == (BREAKS_DOWN,) for one in kept_ones]),
        np.array([one.domain for one in kept_ones]),
        np.array([one.snr_db for one in kept_ones]),
    )


@dataclass
class Model:
    middle: np.ndarray
    spread: np.ndarray
    weights: np.ndarray

    def totals(self, rows: np.ndarray) -> np.ndarray:
        most = verdict_limits.FEATURES_AT_MOST
        return self.weights[0] + np.clip((rows - self.middle) / self.spread, -most, most) @ self.weights[1:]


def model_of(given: Table) -> Model:
    middle, spread = given.rows.mean(axis=0), given.rows.std(axis=0) + 1e-6
    scaled = np.clip((given.rows - middle) / spread, -verdict_limits.FEATURES_AT_MOST, verdict_limits.FEATURES_AT_MOST)
    return Model(middle, spread, logistic(scaled, given.labels, RIDGE, tuple(SIGNS.values()), given.weights))


def fit_verdict(given: Table) -> None:
    """Weights on all domains; the calibration line on each domain by the others' weights.

    A verdict with chance c of being right costs less than none where (1 - c) times the cost of a wrong one is below 1.
    To seek that limit on the clips themselves moved it by a tenth with every domain that was left out.
    """
    totals = np.zeros(len(given.rows))
    for domain in sorted(set(given.domains)):
        out = given.domains == domain
        model = model_of(given.only(~out) if not out.all() else given)
        totals[out] = model.totals(given.rows[out])
    line = logistic(totals[:, None], given.labels, LINE_RIDGE, (1,), given.weights)
    chance = 1 / (1 + np.exp(-line[0] - line[1] * totals))
    fitted.CLEAR_FROM, fitted.BREAKS_FROM = (round(1 - 1 / cost, 3) for cost in (WRONG_COSTS, WRONG_BREAKDOWN_COSTS))
    for domain in sorted(set(given.domains)):
        _tell(domain, given.only(given.domains == domain), chance[given.domains == domain])
    found = model_of(given)
    weights = found.weights * line[1]
    weights[0] += line[0]
    scales = zip(NAMES, found.middle, found.spread, strict=True)
    fitted.SCALES = {name: (float(middle), float(spread)) for name, middle, spread in scales}
    fitted.VERDICT = {"always": weights[0], **dict(zip(NAMES, weights[1:], strict=True))}
    say("clips:", len(given.rows), "calibration line:", np.round(line, 3))


def _tell(domain: str, those: Table, chance: np.ndarray) -> None:
    """What the other domains' weights make of one domain, at 10 dB and better, of the clips that no rule leaves out."""
    good = those.snr_db >= 10
    breaks, revs = chance >= fitted.BREAKS_FROM, 1 - chance >= fitted.CLEAR_FROM
    right = np.where(those.labels, breaks, revs)[good]
    say(
        f"{domain}, fitted on the others: {good.sum()} clips, right {right.mean():.3f},",
        f"fine called broken {breaks[good & ~those.labels].mean():.3f},",
        f"broken called fine {revs[good & those.labels].mean():.3f}",
    )


def fit_unclear(those: list[Seen]) -> None:
    """For each reason the share of the unclear clips that could not be answered: no rev-out, or drowned in noise."""
    could: dict[str, list[bool]] = {reason.value: [] for reason in HeardReason if reason not in CLEAR}
    fitted.UNCLEAR = dict.fromkeys(could, 0.5)
    for one in those:
        told = judged(one.track, one.samples).verdict
        if told.verdict == UNCLEAR:
            could[told.reason.value].append(UNCLEAR in one.allowed or one.snr_db < LEAST_DB)
    half = SEEN_AT_LEAST / 2
    fitted.UNCLEAR = {
        reason: round((sum(cannot) + half) / (len(cannot) + SEEN_AT_LEAST), 2) for reason, cannot in could.items()
    }
    say("unclear:", {reason: len(cannot) for reason, cannot in could.items() if cannot})


def say(*words: object) -> None:
    sys.stdout.write(" ".join(map(str, words)) + "\n")


def written() -> str:
    def numbers(name: str, values: dict[str, object]) -> str:
        lines = (f'    "{key}": {_plain(value)},\n' for key, value in values.items())
        return f"{name} = {{\n{''.join(lines)}}}\n"

    return (
        '"""Numbers of the hearing, written by tests/revouts/fit.py, which says what they were fitted on."""\n\n'
        "# log odds that a firing is missing: constant, weight of each measure, price of a change of state\n"
        + numbers("MISSING", fitted.MISSING)
        + "\n# log odds that the ignition breaks down: constant, weight of each feature in units of its spread\n"
        + numbers("VERDICT", fitted.VERDICT)
        + "\n# mean and spread of each feature where it was fitted\n"
        + numbers("SCALES", fitted.SCALES)
        + "\n# least confidence with which a clip is said to rev out, and to break down\n"
        + f"CLEAR_FROM, BREAKS_FROM = {fitted.CLEAR_FROM}, {fitted.BREAKS_FROM}\n"
        + "\n# for each reason the share of the unclear clips that nobody could have answered\n"
        + numbers("UNCLEAR", fitted.UNCLEAR)
    )


def _plain(value: object) -> str:
    if isinstance(value, tuple):
        return f"({', '.join(_plain(part) for part in value)})"
    return f"{float(value):.5g}"


def main(folder: Path | None, check: bool) -> int:
    before = WRITTEN.read_text()
    fit_set, choose_set = seen(FIT, folder), seen(CHOOSE, folder)
    fit_missing(fit_set)
    choose_price(choose_set)
    fit_verdict(table(fit_set))
    fit_unclear(fit_set)
    if check:
        say("the same numbers" if written() == before else "OTHER NUMBERS than those of the project")
        return int(written() != before)
    WRITTEN.write_text(written())
    return 0


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--kept", type=Path)
    asked.add_argument("--check", action="store_true")
    given = asked.parse_args()
    sys.exit(main(given.kept, given.check))
