"""The curves of roller runs over the revs, in ink on paper: before thin and broken, after thick, named at their ends.

Power has the largest strip, torque and air–fuel ratio a ruled one each. Runs that repeat each other are one line, their
mean, in the band between the lowest and the highest of them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from garage.output.pictures import FAINT, INK, PAPER, RULE, look, strips, svg
from jobs.core.runs.curve import RAD_S_PER_RPM, PowerBand

if TYPE_CHECKING:
    from matplotlib.axes import Axes

ROOM_ABOVE = 1.12  # so that the peak's number has paper over it
ROOM_RIGHT = 0.04  # share of the revs between the end of a line and its name
NAME_GAP = 0.13  # share of the height between two names, so that they do not overlap
BROKEN = (0, (5, 3))


@dataclass(frozen=True)
class DrawnRuns:
    """name: at the end of the line. band: of power, in W, corrected where that may be shown. air_fuel: of the last of
    these runs, by the revs, in AFR; may be empty.
    """

    name: str
    band: PowerBand
    air_fuel: tuple[tuple[int, float], ...] = ()


@dataclass(frozen=True)
class PictureForm:
    """Sizes in inches: across, the strip of power, each other strip. paper: the colour that it is drawn on."""

    wide_in: float
    power_in: float
    strip_in: float
    paper: str = PAPER

    def high_in(self, *, has_air_fuel: bool) -> list[float]:
        return [self.power_in, self.strip_in, *([self.strip_in] if has_air_fuel else [])]


ON_PAGE = PictureForm(4.6, 3.0, 1.3)  # the letters stay readable on a phone 320 px wide
ON_WALL = PictureForm(8.4, 3.2, 1.1)  # as wide as a screen on the wall
# As wide as the text of a paper, and a whole number of its half lines of 7 pt high (static/papers.css): 26 and 10.
ON_PAPER = PictureForm(493.2 / 72, 182 / 72, 70 / 72, paper="#fff")


@dataclass(frozen=True)
class PictureUnits:
    """A value in W or Nm, divided by its scale, is one in the unit."""

    power: str
    power_scale: float
    torque: str
    torque_scale: float


@lru_cache(maxsize=32)
def run_picture(after: DrawnRuns, before: DrawnRuns | None, units: PictureUnits, form: PictureForm) -> bytes:
    """An SVG file. Drawing takes half as long as a paper's typesetting, and a wall asks for the same one all day."""
    with look(form.paper):
        drawn = [runs for runs in (before, after) if runs]
        has_fuel = any(runs.air_fuel for runs in drawn)
        figure, axes = strips(form.wide_in, form.high_in(has_air_fuel=has_fuel))
        power, torque = axes[:2]
        _lines(power, drawn, lambda value, _: value / units.power_scale)
        _lines(torque, drawn, lambda value, rpm: value / (rpm * RAD_S_PER_RPM) / units.torque_scale)
        _peak(power, after, units, form.paper)
        _names(power, drawn, units)
        _titled(power, f"power, {units.power}")
        _titled(torque, f"torque, {units.torque}")
        if has_fuel:
            _fuel(axes[2], drawn)
            _titled(axes[2], "air–fuel ratio")
        _revs(axes, drawn)
        return svg(figure)


def _lines(axes: Axes, drawn: Sequence[DrawnRuns], value: Callable[[float, int], float]) -> None:
    """value: of a power in W at these revs, as the strip shows it."""
    highest = 0.0
    for runs in drawn:
        band, is_last = runs.band, runs is drawn[-1]
        low, mean, high = (
            [value(power, rpm) for power, rpm in zip(powers, band.rpm, strict=True)]
            for powers in (band.lowest, band.mean, band.highest)
        )
        if low != high:
            axes.fill_between(band.rpm, low, high, color=RULE, alpha=0.6, linewidth=0, zorder=1)
        _line(axes, band.rpm, mean, is_last=is_last)
        highest = max(highest, *high)
    axes.set_ylim(0, highest * ROOM_ABOVE or 1)


def _line(axes: Axes, rpm: Sequence[int], values: Sequence[float], *, is_last: bool) -> None:
    """The last is after, thick; the other before, thin and broken."""
    if is_last:
        axes.plot(rpm, values, color=INK, linewidth=2.4, zorder=3)
    else:
        axes.plot(rpm, values, color=INK, linewidth=1.0, linestyle=BROKEN, zorder=2)


def _peak(axes: Axes, after: DrawnRuns, units: PictureUnits, paper: str) -> None:
    highest = max(after.band.mean)
    rpm, shown = after.band.rpm[after.band.mean.index(highest)], highest / units.power_scale
    axes.plot([rpm], [shown], "o", ms=5, color=INK, zorder=4)
    axes.annotate(
        f"{shown:.1f}",
        (rpm, shown),
        xytext=(0, 7),
        textcoords="offset points",
        ha="center",
        fontweight="bold",
        bbox={"facecolor": paper, "edgecolor": "none", "alpha": 0.7, "pad": 0.6},
        zorder=5,
    )


def _names(axes: Axes, drawn: Sequence[DrawnRuns], units: PictureUnits) -> None:
    """Each beside the end of its line, moved apart where two would overlap."""
    right = max(runs.band.rpm[-1] for runs in drawn)
    gap = NAME_GAP * axes.get_ylim()[1]
    place = -gap
    for runs in sorted(drawn, key=lambda one: one.band.mean[-1]):
        is_last = runs is drawn[-1]
        place = max(runs.band.mean[-1] / units.power_scale, place + gap)
        axes.annotate(
            runs.name,
            (right, place),
            xytext=(6, 0),
            textcoords="offset points",
            va="center",
            color=INK if is_last else FAINT,
            fontweight="bold" if is_last else "normal",
            annotation_clip=False,
        )


def _fuel(axes: Axes, drawn: Sequence[DrawnRuns]) -> None:
    for runs in drawn:
        if runs.air_fuel:
            rpm, values = zip(*runs.air_fuel, strict=True)
            _line(axes, rpm, values, is_last=runs is drawn[-1])


def _titled(axes: Axes, title: str) -> None:
    axes.grid(axis="y")
    axes.set_axisbelow(True)
    axes.tick_params(length=0)
    axes.locator_params(axis="y", nbins=6 if title.startswith("power") else 3)
    axes.set_title(title, loc="left", fontsize=11, color=FAINT, pad=6)


def _revs(axes: Sequence[Axes], drawn: Sequence[DrawnRuns]) -> None:
    """The same revs in every strip, said below the last."""
    first, last = min(runs.band.rpm[0] for runs in drawn), max(runs.band.rpm[-1] for runs in drawn)
    axes[0].set_xlim(first, last + ROOM_RIGHT * (last - first))
    for strip in axes:
        strip.locator_params(axis="x", nbins=6)
        strip.xaxis.set_major_formatter("{x:,.0f}")
        strip.tick_params(axis="x", labelbottom=strip is axes[-1])
    axes[-1].set_xlabel("rpm")
