"""The only module that uses the plotting library: a picture in the paper's look, as the bytes of an SVG file.

Pictures are served as image files with their words and a table beside them, never inlined in a page: the library's SVG
is full of style attributes, which the pages' Content-Security-Policy blocks. Text is drawn as paths, so that a picture
looks the same on every phone.

The library is imported with the first picture. It takes over half a second, and most processes never draw.
"""

from __future__ import annotations

import base64
import io
from collections.abc import Sequence
from contextlib import AbstractContextManager
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.typing import RcKeyType

__all__ = ["CONTENT_TYPE", "FAINT", "HAND", "INK", "PAPER", "RULE", "as_data", "look", "sheet", "strips", "svg"]

INK, FAINT, RULE, PAPER, HAND = "#1d1b18", "#665e51", "#d8cfbd", "#fbf8f1", "#b3361b"  # as in static/paper.css
CONTENT_TYPE = "image/svg+xml"
_FONTS = Path(__file__).parents[2] / "static" / "vendor" / "atkinson"  # TTF: the library cannot read WOFF2
_LOOK: dict[RcKeyType, object] = {
    "svg.hashsalt": "tickover",  # makes the same picture the same bytes
    "font.family": "Atkinson Hyperlegible Next",
    "font.size": 11,
    "text.color": INK,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "axes.facecolor": PAPER,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.8,
    "figure.facecolor": PAPER,
    "xtick.color": FAINT,
    "ytick.color": FAINT,
    "grid.color": RULE,
    "grid.linewidth": 0.6,
    "lines.color": INK,
    "lines.linewidth": 1.4,
    "legend.frameon": False,
}


def look(paper: str = PAPER) -> AbstractContextManager[None]:
    """A context manager that sets the style: ink on warm paper, or on another colour of it. Use it around `sheet`, the
    drawing and `svg`.
    """
    from matplotlib import rc_context

    _add_fonts()
    return rc_context(_LOOK | {"axes.facecolor": paper, "figure.facecolor": paper})


@cache
def _add_fonts() -> None:
    from matplotlib import font_manager

    for font in _FONTS.glob("*.ttf"):
        font_manager.fontManager.addfont(font)


def sheet(wide_in: float = 7.0, high_in: float = 3.6) -> tuple[Figure, Axes]:
    """An empty figure with one pair of axes, sizes in inches. Call it inside `look()`."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(wide_in, high_in), layout="constrained")
    return figure, figure.add_subplot()


def strips(wide_in: float, high_in: Sequence[float]) -> tuple[Figure, list[Axes]]:
    """Axes one above the other over the same values across, two or more; sizes in inches. Call it inside `look()`."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(wide_in, sum(high_in)), layout="constrained")
    return figure, list(figure.subplots(len(high_in), sharex=True, height_ratios=high_in))


def svg(figure: Figure) -> bytes:
    """The figure as an SVG file. Call it inside `look()`. It holds no date, so the same figure gives the same bytes."""
    kept = io.BytesIO()
    figure.savefig(kept, format="svg", metadata={"Date": None})
    return kept.getvalue()


def as_data(drawn: bytes) -> str:
    """The address of an SVG file that holds the file itself, for a paper: it may fetch no others."""
    return f"data:{CONTENT_TYPE};base64,{base64.b64encode(drawn).decode()}"
