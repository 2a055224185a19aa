"""Strobe readings over the revs: the band the timing should lie in, the readings with their trend, and earlier
readings.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from diagnostics.core.timing.strobe import PASSING_VERDICTS, WITHIN_DEG
from diagnostics.core.timing.strobe_marks import Marks
from garage.output.pictures import FAINT, HAND, INK, PAPER, RULE, look, sheet, svg

if TYPE_CHECKING:
    from matplotlib.axes import Axes

WIDE_IN, HIGH_IN = 4.6, 3.5  # the letters stay readable on a phone 320 px wide
ROOM_DEG = 1.2  # degrees of margin above and below the drawing
LEAST_SPAN_DEG = 7.0  # so that a healthy drift of half a degree does not look like a cliff
ROUND_RPM = 1000
ROOM_RIGHT = 1.08  # so that the last number does not run into the names at the line ends
NAME_GAP = 0.17  # share of the height between two names at the line ends, so that they do not overlap
ABOVE, BELOW = 8, -17  # points from a reading to its number


def strobe_chart(now: Marks, before: Marks | None = None) -> bytes:
    """An SVG file. now: thick, with points and numbers; before: earlier readings, thin and broken."""
    with look():
        figure, axes = sheet(WIDE_IN, HIGH_IN)
        lowest, highest = _degrees_drawn(now, before)
        highest_rpm = max([*_revs(now), *(_revs(before) if before else ())])
        most_rpm = math.ceil(highest_rpm * ROOM_RIGHT / ROUND_RPM) * ROUND_RPM
        axes.set_xlim(0, most_rpm)
        axes.set_ylim(lowest, highest)
        _band(axes, now, most_rpm)
        names = [_spec_name(now)]
        if before:
            _trend(axes, before, FAINT, 1.1, (0, (5, 3)))
            axes.plot(_revs(before), _degs(before), "o", ms=4.5, mfc=PAPER, mec=FAINT, mew=1.1, zorder=3)
            names.append((before.judged.trend[1], f"before:\n{before.verdict_words}", FAINT, "normal"))
        ink = INK if now.judged.verdict in PASSING_VERDICTS else HAND
        _trend(axes, now, ink, 2.2, "solid")
        axes.plot(_revs(now), _degs(now), "o", ms=6, color=ink, zorder=4)
        _numbers(axes, now)
        names.append((now.judged.trend[1], f"{now.verdict_words}\n{_signed(now.judged.drift_deg)}", ink, "bold"))
        _at_line_ends(axes, names)
        _ruled(axes)
        return svg(figure)


def _revs(marks: Marks) -> list[float]:
    return [reading.rpm for reading in marks.judged.readings]


def _degs(marks: Marks) -> list[float]:
    return [reading.deg for reading in marks.judged.readings]


def _degrees_drawn(now: Marks, before: Marks | None) -> tuple[float, float]:
    drawn = [*_degs(now), *now.judged.trend, *(_degs(before) if before else ())]
    for reading in now.judged.readings:
        drawn += [reading.spec_deg - WITHIN_DEG, reading.spec_deg + WITHIN_DEG]
    lowest, highest = min(drawn) - ROOM_DEG, max(drawn) + ROOM_DEG
    missing = max(0.0, LEAST_SPAN_DEG - (highest - lowest)) / 2
    return lowest - missing, highest + missing


def _band(axes: Axes, now: Marks, most_rpm: float) -> None:
    """A degree on either side of the spec along its own curve; level beyond the lowest and highest revs."""
    specs = [reading.spec_deg for reading in now.judged.readings]
    revs, specs = [0, *_revs(now), most_rpm], [specs[0], *specs, specs[-1]]
    lower, upper = [spec - WITHIN_DEG for spec in specs], [spec + WITHIN_DEG for spec in specs]
    axes.fill_between(revs, lower, upper, color=RULE, alpha=0.55, linewidth=0, zorder=1)
    for edge in (lower, upper):
        axes.plot(revs, edge, color=FAINT, linewidth=0.6, zorder=1)
    axes.plot(revs, specs, color=FAINT, linewidth=0.8, linestyle=(0, (1, 2)), zorder=1)


def _trend(axes: Axes, marks: Marks, ink: str, width: float, style: object) -> None:
    ends = [_revs(marks)[0], _revs(marks)[-1]]
    axes.plot(ends, marks.judged.trend, color=ink, linewidth=width, linestyle=style, zorder=2)


def _numbers(axes: Axes, now: Marks) -> None:
    """Each reading's degrees, on the side of the trend where its point lies, so that the line does not cross the
    number.
    """
    (first, *_, last), (at_first, at_last) = now.judged.readings, now.judged.trend
    slope = (at_last - at_first) / (last.rpm - first.rpm)
    for reading in now.judged.readings:
        is_above = reading.deg >= at_first + slope * (reading.rpm - first.rpm) - 1e-9
        axes.annotate(
            f"{reading.deg:g}°",
            (reading.rpm, reading.deg),
            xytext=(0, ABOVE if is_above else BELOW),
            textcoords="offset points",
            ha="center",
            fontweight="bold",
            bbox={"facecolor": PAPER, "edgecolor": "none", "alpha": 0.7, "pad": 0.6},  # no ruled line through a number
            zorder=5,
        )


def _spec_name(now: Marks) -> tuple[float, str, str, str]:
    spec = now.judged.readings[-1].spec_deg
    words = "spec" if now.is_spec_known else "as first read"
    return spec, f"{words}\n{spec:g}° ± {WITHIN_DEG}°", FAINT, "normal"


def _at_line_ends(axes: Axes, names: list[tuple[float, str, str, str]]) -> None:
    """Each name beside the end of its line, moved apart where two would overlap."""
    lowest, highest = axes.get_ylim()
    gap = NAME_GAP * (highest - lowest)
    ordered = sorted(names, key=lambda name: name[0])
    places: list[float] = []
    for deg, *_ in ordered:
        places.append(max(deg, places[-1] + gap) if places else deg)
    for index in range(len(places) - 1, -1, -1):  # names pushed over the top come down again
        ceiling = places[index + 1] - gap if index + 1 < len(places) else highest
        places[index] = min(places[index], ceiling)
    right = axes.get_xlim()[1]
    for (_, words, ink, weight), place in zip(ordered, places, strict=True):
        axes.annotate(
            words,
            (right, place),
            xytext=(6, 0),
            textcoords="offset points",
            va="center",
            color=ink,
            fontweight=weight,
            linespacing=1.15,
            annotation_clip=False,
        )


def _signed(drift_deg: float) -> str:
    drift = round(drift_deg, 6)
    return f"{'+' if drift > 0 else '−' if drift < 0 else ''}{abs(drift):g}°"


def _ruled(axes: Axes) -> None:
    axes.grid(axis="y")
    axes.set_axisbelow(True)
    axes.locator_params(axis="y", integer=True, nbins=7)
    axes.locator_params(axis="x", integer=True, nbins=6, prune="lower")
    axes.xaxis.set_major_formatter("{x:,.0f}")
    axes.tick_params(length=0)
    axes.set_xlabel("rpm")
    axes.set_title("degrees before top dead centre", loc="left", fontsize=11, color=FAINT, pad=8)
