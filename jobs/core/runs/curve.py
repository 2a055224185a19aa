"""A run as a curve: power on a grid of revs, its peaks, and the band of runs that repeat each other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from garage.core.errors import BadInput, Unquoted
from jobs.core.runs.logger.cell_numbers import Numbers

STEP_RPM = 50  # rpm between two points of the grid
FEWEST_POINTS = 5
MOST_RPM = 30_000
MOST_POWER_W = 2e6  # W; no rollers of a garage hold more
RAD_S_PER_RPM = math.pi / 30


@dataclass(frozen=True)
class PowerCurve:
    """rpm: whole steps of STEP_RPM, rising; power_w: as measured; air_fuel: in AFR, or empty. Each (n,).

    Frozen values of a run: tuples, so that they can be kept and compared.
    """

    rpm: tuple[int, ...]
    power_w: tuple[float, ...]
    air_fuel: tuple[float, ...] = ()

    @property
    def torque_nm(self) -> tuple[float, ...]:
        """
        >>> round(PowerCurve((9000,), (18849.556,)).torque_nm[0], 4)
        20.0
        """
        return tuple(power / (rpm * RAD_S_PER_RPM) for rpm, power in zip(self.rpm, self.power_w, strict=True))


@dataclass(frozen=True)
class Peak:
    """value: W or Nm, as measured."""

    value: float
    rpm: int


@dataclass(frozen=True)
class PowerBand:
    """Over the revs that all of the curves have. lowest, mean, highest: of their power in W, (n,) each."""

    rpm: tuple[int, ...]
    lowest: tuple[float, ...]
    mean: tuple[float, ...]
    highest: tuple[float, ...]


def curve_of(rpm: Numbers, power_w: Numbers, seconds: Numbers, air_fuel: Numbers | None) -> PowerCurve:
    """Readings of one pull on the grid: the mean of each step, weighted by time, then straight lines between them.

    rpm, power_w, seconds, air_fuel: (n,) each. Raises BadInput for revs that no engine has, or too few of them.
    """
    if not (float(rpm.min()) > 0 and float(rpm.max()) <= MOST_RPM):
        found = Unquoted(f"from {rpm.min():,.0f} to {rpm.max():,.0f} rpm")
        raise BadInput("Engine speed", found, f"above 0, up to {MOST_RPM:,} rpm: look at column, unit and gearing")
    highest = float(power_w.max())
    if not 0 < highest <= MOST_POWER_W:
        found = Unquoted(f"{highest / 1000:,.4g} kW at most")
        raise BadInput("Power", found, f"above 0, up to {MOST_POWER_W / 1000:,.0f} kW: look at column and unit")
    step = np.rint(rpm / STEP_RPM).astype(np.int64)
    step -= step.min()
    weight = np.bincount(step, seconds)
    there = weight > 0

    def means(of: Numbers) -> Numbers:
        return np.bincount(step, of * seconds)[there] / weight[there]

    at = means(rpm)
    grid = np.arange(math.ceil(at[0] / STEP_RPM - 1e-9), math.floor(at[-1] / STEP_RPM + 1e-9) + 1) * STEP_RPM
    if len(grid) < FEWEST_POINTS:
        found = Unquoted(f"from {rpm.min():,.0f} to {rpm.max():,.0f} rpm only")
        raise BadInput("Engine speed", found, f"a pull over {FEWEST_POINTS * STEP_RPM} rpm or more")
    fuel = () if air_fuel is None else _rounded(np.interp(grid, at, means(air_fuel)), 2)
    return PowerCurve(tuple(map(int, grid)), _rounded(np.interp(grid, at, means(power_w)), 1), fuel)


def _rounded(values: Numbers, places: int) -> tuple[float, ...]:
    return tuple(map(float, np.round(values, places)))


def peak_power(curve: PowerCurve) -> Peak:
    return _peak(curve.rpm, curve.power_w)


def peak_torque(curve: PowerCurve) -> Peak:
    return _peak(curve.rpm, curve.torque_nm)


def _peak(rpm: Sequence[int], values: Sequence[float]) -> Peak:
    highest = max(values)
    return Peak(highest, rpm[values.index(highest)])


def band_of(curves: Sequence[PowerCurve]) -> PowerBand | None:
    """None if they have no revs in common. Of one curve all three lines are the same.

    >>> band = band_of([PowerCurve((5000, 5050), (4000.0, 4100.0)), PowerCurve((5050, 5100), (4300.0, 4400.0))])
    >>> (band.rpm, band.lowest, band.mean, band.highest)
    ((5050,), (4100.0,), (4200.0,), (4300.0,))
    """
    shared = sorted(set.intersection(*({*curve.rpm} for curve in curves)))
    if not shared:
        return None
    by_rpm = [dict(zip(curve.rpm, curve.power_w, strict=True)) for curve in curves]
    columns = [[powers[rpm] for powers in by_rpm] for rpm in shared]
    means = tuple(sum(column) / len(column) for column in columns)
    return PowerBand(tuple(shared), tuple(map(min, columns)), means, tuple(map(max, columns)))
