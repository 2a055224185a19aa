"""A paper as a picture, and what can be read off it: where ink stands, and the ruled lines."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

PX_PER_PT = 4  # so that a hairline of 0.35 pt is seen
DARK = 160  # of 255: what is darker is ink
OF_THE_TEXT = 0.3  # share of the text's width that a ruled line has at least; no letter comes near


@dataclass(frozen=True)
class Rule:
    """A ruled line. Points from the page's top and left edge; across is its length."""

    top: float
    bottom: float
    left: float
    across: float


@dataclass(frozen=True)
class Picture:
    """One page. ink: true where it is printed, rows first."""

    ink: NDArray[np.bool_]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, points."""
        return self.ink.shape[1] / PX_PER_PT, self.ink.shape[0] / PX_PER_PT

    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of all ink, points."""
        down, across = np.flatnonzero(self.ink.any(axis=1)), np.flatnonzero(self.ink.any(axis=0))
        return across[0] / PX_PER_PT, down[0] / PX_PER_PT, (across[-1] + 1) / PX_PER_PT, (down[-1] + 1) / PX_PER_PT

    def rules(self, least_pt: float) -> Iterator[Rule]:
        """Lines across that are at least so long without a gap, from the top down."""
        found = [(y, *_longest(row)) for y, row in enumerate(self.ink)]
        long = [each for each in found if each[2] >= least_pt * PX_PER_PT]
        for _, rows in groupby(enumerate(long), lambda pair: pair[1][0] - pair[0]):
            ys = [each for _, each in rows]
            yield Rule(ys[0][0] / PX_PER_PT, (ys[-1][0] + 1) / PX_PER_PT, ys[0][1] / PX_PER_PT, ys[0][2] / PX_PER_PT)


def _longest(row: NDArray[np.bool_]) -> tuple[int, int]:
    """Where the longest run of ink in the row begins, and how long it is."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], row, [False]))))
    if not edges.size:
        return 0, 0
    begins, lengths = edges[::2], edges[1::2] - edges[::2]
    best = int(lengths.argmax())
    return int(begins[best]), int(lengths[best])


def pictures(pdf: bytes, folder: Path) -> list[Picture]:
    """Its pages. folder: of this paper's own."""
    folder.mkdir()
    (folder / "paper.pdf").write_bytes(pdf)
    dots = str(72 * PX_PER_PT)
    subprocess.run(["pdftoppm", "-r", dots, "-gray", "-png", folder / "paper.pdf", folder / "page"], check=True)
    return [Picture(np.asarray(Image.open(path).convert("L")) < DARK) for path in sorted(folder.glob("page-*.png"))]
