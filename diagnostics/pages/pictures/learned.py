"""Charts of what we learned: bands of predicted chance against the observed share, and the same for each fault."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from diagnostics.core.learning.calibration import Bin, Seen
from garage.output.pictures import FAINT, HAND, INK, PAPER, look, sheet, svg

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SQUARE_IN = 5.2  # the letters stay readable on a phone 320 px wide
ROW_IN, AROUND_IN = 0.3, 0.9  # height of a fault's row; of title and numbers below
MOST_NAME = 30  # letters of a name beside its row
LEAST_SHOWN = 10.0  # per cent, least range of the faults' chart


def calibration_chart(bands: Sequence[Bin]) -> bytes:
    """An SVG file: predicted chance across, observed share with intervals up; perfect calibration is the diagonal."""
    with look():
        figure, axes = sheet(SQUARE_IN, SQUARE_IN)
        axes.set_xlim(0, 100)
        axes.set_ylim(0, 100)
        axes.set_aspect("equal")
        axes.plot([0, 100], [0, 100], color=FAINT, linewidth=0.9, linestyle=(0, (1, 2)), zorder=1)
        axes.annotate("equal", (100, 100), xytext=(7, 0), textcoords="offset points", va="center", color=FAINT)
        for band in bands:
            _band(axes, band)
        _ruled(axes)
        axes.grid(axis="both")
        axes.set_xlabel("mean predicted, %")
        axes.set_title("observed, %", loc="left", fontsize=11, color=FAINT, pad=8)
        return svg(figure)


def _band(axes: Axes, band: Bin) -> None:
    """A solid point with its interval, or a hollow one without if there are too few."""
    predicted, observed = 100 * band.predicted, 100 * band.share
    if band.is_too_few:
        axes.plot([predicted], [observed], "o", ms=7, mfc=PAPER, mec=FAINT, mew=1.2, zorder=3, clip_on=False)
        _beside(axes, predicted, observed, f"{band.many}, too few", FAINT)
        return
    ink = HAND if band.is_surprise else INK
    ends = [100 * band.low, 100 * band.high]
    axes.plot([predicted, predicted], ends, color=ink, linewidth=2.2, zorder=2, clip_on=False)
    axes.plot([predicted], [observed], "o", ms=8, color=ink, zorder=4, clip_on=False)
    _beside(axes, predicted, observed, f"of {band.many}", ink)


def _beside(axes: Axes, predicted: float, observed: float, words: str, ink: str) -> None:
    side = 1 if predicted < 70 else -1
    axes.annotate(
        words,
        (predicted, observed),
        xytext=(9 * side, 0),
        textcoords="offset points",
        ha="left" if side > 0 else "right",
        va="center",
        color=ink,
        bbox={"facecolor": PAPER, "edgecolor": "none", "alpha": 0.7, "pad": 0.6},
        zorder=5,
    )


def faults_chart(rows: Sequence[tuple[str, Seen]]) -> bytes:
    """An SVG file with a row for each fault, the first on top: a bar for the observed share and its interval, a stroke
    for the predicted share. Faults outside their interval are bold and in the colour for what needs a hand.
    """
    with look():
        figure, axes = sheet(SQUARE_IN, AROUND_IN + ROW_IN * max(len(rows), 1))
        most = max([LEAST_SHOWN, *(100 * max(seen.high, seen.predicted) for _, seen in rows)])
        axes.set_xlim(0, most * 1.02)
        axes.set_ylim(max(len(rows), 1) - 0.5, -0.5)
        for place, (_, seen) in enumerate(rows):
            _fault(axes, place, seen)
        axes.set_yticks(range(len(rows)), [_cut(name) for name, _ in rows])
        for label, (_, seen) in zip(axes.get_yticklabels(), rows, strict=True):
            label.set_color(HAND if seen.is_surprise else INK)
            label.set_fontweight("bold" if seen.is_surprise else "normal")
        _ruled(axes)
        axes.grid(axis="x")
        axes.set_xlabel("share of the visits, %")
        return svg(figure)


def _fault(axes: Axes, place: int, seen: Seen) -> None:
    ink = HAND if seen.is_surprise else FAINT if seen.is_too_few else INK
    predicted = 100 * seen.predicted
    axes.plot([100 * seen.low, 100 * seen.high], [place, place], color=ink, linewidth=1.4, zorder=2)
    fill = PAPER if seen.is_too_few else ink
    axes.plot([100 * seen.share], [place], "o", ms=6, mfc=fill, mec=ink, zorder=4, clip_on=False)
    axes.plot([predicted, predicted], [place - 0.36, place + 0.36], color=INK, linewidth=2.2, zorder=3)


def _cut(name: str) -> str:
    """Cut at the end of a word if it does not fit beside its row."""
    if len(name) <= MOST_NAME:
        return name
    kept, _, _ = name[:MOST_NAME].rpartition(" ")
    return kept.rstrip(",;:") + " …"


def _ruled(axes: Axes) -> None:
    axes.set_axisbelow(True)
    axes.tick_params(length=0)
