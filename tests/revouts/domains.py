"""Rev-outs of several domains behind one interface: what one generator makes sounds unlike what another makes.

    for one in examples("own old", 300, 52): ...

A domain is a maker of clips with truth. What is fitted on some domains is reported on those left out
(tests/bench/yard.py). Domains that need sounds from beside the project are empty where those are not there.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from tests.revouts import foreign, saws
from tests.revouts.apart.sets import apart_clip
from tests.revouts.engine import Truth
from tests.revouts.listened import samples_of
from tests.revouts.sets import CHOOSE, FIT, KINDS, REPORT, clip
from tests.revouts.wide.sets import Recording, wide_clip

OLD_PLANS = {plan.seed: plan for plan in (FIT, CHOOSE, REPORT)}


@dataclass(frozen=True)
class Example:
    """A clip as the hearing gets it. truth is None where there is no engine; drr_db: direct to reverberant sound."""

    domain: str
    kind: str
    samples: np.ndarray  # (n,) float32 at RATE_HZ, as decoded from the clip's file
    fires_per_turn: float
    truth: Truth | None
    snr_db: float | None  # over the hold
    drr_db: float | None
    noise: str
    codec: str
    allowed: tuple[str, ...]  # the verdicts that are right

    @property
    def is_answerable(self) -> bool:
        return "unclear" not in self.allowed


def old(count: int, seed: int) -> Iterator[Example]:
    """Clips of the set with that seed: tests/revouts/sets.py."""
    for index in range(count):
        number, place = divmod(index, len(KINDS))
        made = clip(OLD_PLANS[seed], KINDS[place], number)
        allowed = ("unclear",) if made.truth is None else (made.truth.verdict,)
        if made.truth is not None and made.truth.even:
            allowed = ("revs-out", "breaks-down", "unclear")
        snr_db = None if made.truth is None else made.snr_db
        yield Example(
            *("own old", made.kind, samples_of(made), made.fires_per_turn, made.truth),
            *(snr_db, None, made.noise_kind, made.codec.name, allowed),
        )


def of_others(count: int, seed: int) -> Iterator[Example]:
    """Clips of the generator by another hand, where it is beside the project."""
    for line, samples in foreign.clips(count, seed):
        yield Example(
            *("foreign", line["kind"], samples, line["fires_per_turn"], foreign.truth_of(line)),
            *(line["snr"], None, line["noise"], line["codec"], foreign.allowed(line)),
        )


def wide(count: int, seed: int) -> Iterator[Example]:
    """Clips of the wide set: tests/revouts/wide/sets.py."""
    for index in range(count):
        yield _of("own wide", wide_clip(index, seed))


def of_saws(count: int, seed: int) -> Iterator[Example]:
    """Rev-outs of single firings of real saws, where there are recordings beside the project: tests/revouts/saws.py."""
    for index in range(count if saws.voices() else 0):
        yield _of("saws", saws.saw_clip(index, seed))


def apart(count: int, seed: int) -> Iterator[Example]:
    """Clips of the set that is only reported on: tests/revouts/apart/sets.py."""
    for index in range(count):
        yield _of("apart", apart_clip(index, seed))


def _of(domain: str, made: Recording) -> Example:
    return Example(
        *(domain, made.kind, samples_of(made), made.fires_per_turn, made.truth),
        *(made.snr_db, made.drr_db, made.noise, made.codec.name),
        allowed=("unclear",) if made.truth is None else (made.truth.verdict,),
    )


MAKERS: dict[str, Callable[[int, int], Iterator[Example]]] = {
    "own old": old,
    "own wide": wide,
    "foreign": of_others,
    "saws": of_saws,
}


def examples(domain: str, count: int, seed: int) -> Iterator[Example]:
    """`count` clips of a domain, always the same for the same seed; none where its sounds are not there."""
    return MAKERS[domain](count, seed)


ARRAYS = {"rpm": float, "firing": bool, "at_s": float, "fired": bool}


def keep(those: Iterator[Example], folder: Path) -> int:
    """Writes clips for quick trials: samples.npz by number, and truth.jsonl with a line a clip. Returns how many."""
    folder.mkdir(parents=True, exist_ok=True)
    samples, lines = {}, []
    for number, one in enumerate(those):
        samples[str(number)] = one.samples
        lines.append(json.dumps(_plain(one)))
    np.savez(folder / "samples.npz", **samples)
    (folder / "truth.jsonl").write_text("\n".join(lines), encoding="utf-8")
    return len(lines)


def kept(folder: Path) -> Iterator[Example]:
    """The clips that keep() wrote."""
    samples = np.load(folder / "samples.npz")
    for number, line in enumerate((folder / "truth.jsonl").read_text(encoding="utf-8").splitlines()):
        given = json.loads(line)
        truth = given.pop("truth")
        if truth is not None:
            truth |= {name: np.array(truth[name], dtype) for name, dtype in ARRAYS.items()}
            truth |= {"drop_outs": [tuple(gap) for gap in truth["drop_outs"]]}
            truth |= {"held": truth["held"] and tuple(truth["held"])}
        yield Example(
            **given | {"allowed": tuple(given["allowed"])},
            samples=samples[str(number)],
            truth=truth and Truth(**truth),
        )


def _plain(one: Example) -> dict[str, Any]:
    given = dict(vars(one))
    del given["samples"]
    truth = one.truth and dict(vars(replace(one.truth)))
    if truth:
        truth |= {name: np.round(truth[name].astype(float), 4).tolist() for name in ("rpm", "at_s")}
        truth |= {name: truth[name].astype(int).tolist() for name in ("firing", "fired")}
        truth |= {"even": bool(truth["even"])}
    return given | {"truth": truth}
