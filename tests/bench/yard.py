"""Measures the hearing domain by domain: our old set, our wide set, another hand's generator, grains of real saws.

    python -m tests.bench.yard [--file NOTE] [--kept FOLDER] [SET ...]

A set is domain:clips:seed, `own wide:294:63`. With --kept its clips come from own_wide-63 in that folder, as
tests/revouts/domains.py kept them. Without any it is REPORTED, whose seeds nothing was fitted or chosen on. Domains
that need sounds from beside the project are said to be missing where they are.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import numpy as np

from tests.bench.figures import NOT_ANSWERABLE, Measured, calibration, figures
from tests.bench.hearing_measured import Labels, measured_clip
from tests.revouts.domains import Example, examples, kept
from tests.revouts.sets import REPORT

REPORTED = (f"own old:220:{REPORT.seed}", "own wide:130:66", "foreign:98:13", "saws:120:76")
NO_NOISE_DB = 99.0
GOOD_DB, INDOORS_DB = 10.0, 0.0
FIGURES = {
    "right of all %": "≥ 90",
    "fine called breaks-down %": "≤ 2",
    "broken called revs-out %": "≤ 3",
    "unclear %": "≤ 10",
    "hold overlap, mean": "≥ 0.85",
    "frames within 3 % of all, %": "≥ 85",
    "octave errors %": "≤ 2",
}
CALIBRATION = "calibration error of the clear verdicts"


def heard(those: Iterator[Example]) -> list[Measured]:
    """Every clip that has one right answer; those that may have several count for none."""
    return [
        measured_clip(_labels(one), one.truth, one.samples, one.fires_per_turn)
        for one in those
        if len(one.allowed) == 1
    ]


def _labels(one: Example) -> Labels:
    return Labels(one.kind, one.codec, one.noise, NO_NOISE_DB if one.snr_db is None else one.snr_db, one.drr_db)


def domain_lines(name: str, measured: Sequence[Measured]) -> list[str]:
    """The figures of one domain at 10 dB and better, and over all noise, and by kind."""
    if not measured:
        return ["", f"## {name}", "", "Not measured: what it is made of is not beside the project."]
    able = [one for one in measured if one.truth != "unclear"]
    good = [one for one in able if one.snr_db >= GOOD_DB]
    lines = [
        "",
        f"## {name}",
        "",
        f"| figure | 10 dB and better ({len(good)}) | all ({len(able)}) | target |",
        "|---" * 4 + "|",
    ]
    at_good, over_all = figures(good), figures(able)
    lines += [f"| {key} | {at_good[key]:.4g} | {over_all[key]:.4g} | {target} |" for key, target in FIGURES.items()]
    lines.append(f"| {CALIBRATION} | {_calibrated(good):.3g} | {_calibrated(able):.3g} | ≤ 0.05 |")
    lines.append(_indoors(good, able))
    unable = [one for one in measured if one.truth == "unclear"]
    lines += [f"| not answerable: unclear % of {len(unable)} | | {_percent(unable, _is_unclear)} | |", ""]
    return [*lines, *_by("kind", good), *_by("noise", good)]


def _calibrated(those: Sequence[Measured]) -> float:
    is_any_clear = any(one.verdict != "unclear" for one in those)
    return calibration(those)[0] if is_any_clear else float("nan")


def _indoors(good: Sequence[Measured], able: Sequence[Measured]) -> str:
    """Where the walls are louder than the engine itself."""
    shares = []
    for those in (good, able):
        near = [one for one in those if one.drr_db is not None and one.drr_db < INDOORS_DB]
        shares.append(f"{_percent(near, _is_right)} of {len(near)}")
    return f"| direct to reverberant below 0 dB: right % | {shares[0]} | {shares[1]} | ≥ 75 |"


def _is_right(one: Measured) -> bool:
    return one.verdict == one.truth


def _is_unclear(one: Measured) -> bool:
    return one.verdict == "unclear"


def _percent(those: Sequence[Measured], good: Callable[[Measured], bool]) -> str:
    return f"{100 * np.mean([good(one) for one in those]):.4g}" if those else "none"


def _by(column: str, good: Sequence[Measured]) -> list[str]:
    """Right, unclear, overlap and frames of each kind, one line for all of them."""
    parts = []
    for name in sorted({getattr(one, column) for one in good}):
        found = figures([one for one in good if getattr(one, column) == name])
        parts.append(
            f"| {name} | {found['clips']} | {found['right of all %']:.3g} | {found['unclear %']:.3g} "
            f"| {found['hold overlap, mean']:.2f} | {found['frames within 3 % of all, %']:.3g} |"
        )
    return [f"| {column} | clips | right % | unclear % | hold overlap | frames % |", "|---" * 6 + "|", *parts, ""]


def note(sets: dict[str, list[Measured]]) -> str:
    lines = [
        "# How well the hearing hears in other yards",
        "",
        "Written by `python -m tests.bench.yard`. Every domain makes its clips another way; seeds are in the names.",
        "Frames count where the crank fires and, but for the old set, the engine is at least as loud as the noise.",
        f"Not answerable are {', '.join(NOT_ANSWERABLE)}, tickover, blips, speech, music and the like.",
    ]
    for name, measured in sets.items():
        lines += domain_lines(name, measured)
    return "\n".join(lines).rstrip() + "\n"


def clips_named(name: str, folder: Path | None) -> Iterator[Example]:
    """The clips of a set, from a folder of kept ones if one is given."""
    domain, count, seed = name.split(":")
    if folder is not None:
        return kept(folder / f"{domain.replace(' ', '_')}-{seed}")
    return examples(domain, int(count), int(seed))


def main(words: Sequence[str]) -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("sets", nargs="*", default=REPORTED)
    parser.add_argument("--kept", type=Path)
    parser.add_argument("--file", type=Path)
    given = parser.parse_args(words)
    text = note({name: heard(clips_named(name, given.kept)) for name in given.sets})
    sys.stdout.write(text)
    if given.file:
        given.file.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
