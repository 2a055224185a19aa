"""The rev-out as it was heard: engine speed over the sound's outline, the hold, drop-outs, ceiling and design speed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from diagnostics.hearing.core.heard import Heard
from diagnostics.hearing.models.clips import Clip
from diagnostics.hearing.pages.clip_state import has_picture
from diagnostics.hearing.reads.machines import design_rpm_of
from garage.core.text.languages import in_figures, told
from garage.output.pictures import FAINT, HAND, INK, PAPER, RULE, look, sheet, svg

if TYPE_CHECKING:
    from matplotlib.axes import Axes

WIDE_IN, HIGH_IN = 4.6, 3.3  # the letters stay readable on a phone 320 px wide
STRIP = 0.26  # of the speed's height: the strip below for the sound
LEAST_RPM = 4000
ROUND_RPM = 1000
NAME_GAP = 0.19  # of the height between two names at the line ends, so that none covers another
LEAST_MARK = 0.004  # of the width: a drop-out of 25 ms is seen too


def picture_of(clip: Clip) -> bytes | None:
    """An SVG file; None where there is nothing to draw."""
    heard = clip.heard
    if heard is None or not has_picture(clip):
        return None
    return chart_of(heard, design_rpm_of(clip.visit))


def chart_of(heard: Heard, design_rpm: float | None) -> bytes:
    """An SVG file."""
    with look():
        figure, axes = sheet(WIDE_IN, HIGH_IN)
        top = _top_rpm(heard, design_rpm)
        axes.set_xlim(0, max(heard.seconds, 1.0))
        axes.set_ylim(-STRIP * top, top)
        _hold(axes, heard, top)
        _sound(axes, heard, top)
        _drop_outs(axes, heard, top)
        _limits(axes, heard.ceiling_rpm, design_rpm)
        _speed(axes, heard)
        _ruled(axes, top)
        return svg(figure)


def _top_rpm(heard: Heard, design_rpm: float | None) -> float:
    speeds = [rpm for rpm in (*heard.rpm, heard.ceiling_rpm, design_rpm) if rpm is not None]
    return float(np.ceil(max([LEAST_RPM, *speeds]) * 1.08 / ROUND_RPM) * ROUND_RPM)


def _speed(axes: Axes, heard: Heard) -> None:
    at_s = heard.t0_s + heard.step_s * np.arange(len(heard.rpm))
    axes.plot(at_s, [np.nan if rpm is None else rpm for rpm in heard.rpm], color=INK, linewidth=1.8, zorder=4)


def _sound(axes: Axes, heard: Heard, top: float) -> None:
    if not heard.outline:
        return
    at_s = (np.arange(len(heard.outline)) + 0.5) * heard.seconds / len(heard.outline)
    middle, half = -0.6 * STRIP * top, 0.34 * STRIP * top
    loud = half * np.array(heard.outline)
    axes.fill_between(at_s, middle - loud, middle + loud, color=FAINT, linewidth=0, zorder=2)


def _hold(axes: Axes, heard: Heard, top: float) -> None:
    if heard.held is None:
        return
    begins, ends = heard.held
    axes.axvspan(begins, ends, color=RULE, alpha=0.5, linewidth=0, zorder=0)
    axes.annotate(
        told("throttle open"),
        ((begins + ends) / 2, top),
        xytext=(0, 3),
        textcoords="offset points",
        ha="center",
        va="bottom",
        color=FAINT,
        annotation_clip=False,
    )


def _drop_outs(axes: Axes, heard: Heard, top: float) -> None:
    """Each a stroke right under the speed's ground line, named once."""
    least = LEAST_MARK * max(heard.seconds, 1.0)
    for begins, ends in heard.drop_outs:
        axes.fill_between([begins, max(ends, begins + least)], -0.2 * STRIP * top, 0, color=HAND, linewidth=0, zorder=3)
    if heard.drop_outs:
        _name(axes, -0.1 * STRIP * top, told("drop-outs"), HAND)


def _limits(axes: Axes, ceiling_rpm: float | None, design_rpm: float | None) -> None:
    named: list[tuple[float, str, str]] = []
    if design_rpm is not None:
        axes.axhline(design_rpm, color=FAINT, linewidth=1.1, linestyle=(0, (5, 3)), zorder=1)
        named.append((design_rpm, _limit(told("design"), design_rpm), FAINT))
    if ceiling_rpm is not None:
        axes.axhline(ceiling_rpm, color=HAND, linewidth=1.3, zorder=3)
        named.append((ceiling_rpm, _limit(told("ceiling"), ceiling_rpm), HAND))
    named.sort()
    gap = NAME_GAP * (axes.get_ylim()[1] - axes.get_ylim()[0])
    places = [at for at, *_ in named]
    if len(places) == 2 and places[1] - places[0] < gap:
        missing = (gap - (places[1] - places[0])) / 2
        places = [places[0] - missing, places[1] + missing]
    for place, (_, words, ink) in zip(places, named, strict=True):
        _name(axes, place, words, ink)


def _limit(name: str, rpm: float) -> str:
    return f"{name}\n{in_figures(f'{round(rpm, -1):,.0f}')}"


def _name(axes: Axes, at: float, words: str, ink: str) -> None:
    axes.annotate(
        words,
        (axes.get_xlim()[1], at),
        xytext=(6, 0),
        textcoords="offset points",
        va="center",
        color=ink,
        linespacing=1.15,
        annotation_clip=False,
        bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.5},
    )


def _ruled(axes: Axes, top: float) -> None:
    step = 2000 if top > 5000 else ROUND_RPM
    axes.set_yticks(np.arange(0, top + 1, step), [in_figures(f"{rpm:,.0f}") for rpm in np.arange(0, top + 1, step)])
    axes.grid(axis="y")
    axes.set_axisbelow(True)
    axes.spines["left"].set_visible(False)
    axes.locator_params(axis="x", nbins=6, integer=True)
    axes.tick_params(length=0)
    axes.set_xlabel(told("seconds; the sound’s outline above them"))
    axes.set_title(told("rpm"), loc="left", fontsize=11, color=FAINT, pad=8)
