"""Leaves one domain out: fits on the others and reports on it, for every domain.

    python -m tests.bench.left_out [--each COUNT] [--kept FOLDER] [--file NOTE]

What is fitted is put into the running program only; diagnostics/hearing/core/verdict stays as it is written. --each
fits on fewer clips of each domain. The clips reported on are those of tests/bench/yard.py.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from itertools import islice
from pathlib import Path

from tests.bench.figures import Measured
from tests.bench.yard import REPORTED, clips_named, domain_lines, heard
from tests.revouts.fit import CHOOSE, FIT, Seen, choose_price, fit_missing, fit_unclear, fit_verdict, seen, table


def left_out(each: int, folder: Path | None) -> dict[str, list[Measured]]:
    """What was heard of each domain by a hearing that was fitted without it."""
    fit_set, choose_set = (seen(_fewer(sets, each), folder) for sets in (FIT, CHOOSE))
    out = {}
    for name in REPORTED:
        domain, count, _ = name.split(":")
        refit(*([one for one in those if one.domain != domain] for those in (fit_set, choose_set)))
        out[name] = heard(islice(clips_named(name, folder), int(count)))
    return out


def refit(fit_set: list[Seen], choose_set: list[Seen]) -> None:
    fit_missing(fit_set)
    if choose_set:
        choose_price(choose_set)
    fit_verdict(table(fit_set))
    fit_unclear(fit_set)


def _fewer(sets: Sequence[tuple[str, int, int]], each: int) -> tuple[tuple[str, int, int], ...]:
    return tuple((domain, min(count, each), seed) for domain, count, seed in sets)


def main(words: Sequence[str]) -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--each", type=int, default=400)
    parser.add_argument("--kept", type=Path)
    parser.add_argument("--file", type=Path)
    given = parser.parse_args(words)
    lines = ["# How well a domain is heard that was left out", "", "Each was fitted on the others only."]
    for name, measured in left_out(given.each, given.kept).items():
        lines += domain_lines(name, measured)
    text = "\n".join(lines).rstrip() + "\n"
    sys.stdout.write(text)
    if given.file:
        given.file.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
