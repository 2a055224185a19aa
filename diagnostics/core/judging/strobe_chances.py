"""Likelihood of strobe readings for each set of faults: smooth densities, so that a tenth of a degree changes little.

How far the timing is off its spec is the sum of the offsets of all faults present and, at peak revs, their drifts, plus
reading error. Each is an independent normal with the bank's mean and spread. A small share of readings is simply
misread, with a uniform density between the bank's lowest and highest degrees. The verdict words of `timing` remain
rules and are not used here.

If no curve is stated, some ignitions ease the spark back with the revs by design. Both readings then have the density
of fixed timing or of such a unit, in the bank's shares. All figures: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from diagnostics.core.arrays import Float64s, Indices
from diagnostics.core.bank.bank import Spread, Strobe
from diagnostics.core.findings import MachineFacts
from diagnostics.core.judging.inference import Model

NOTHING = Spread(0.0, 0.0)


@dataclass(frozen=True)
class OffSpec:
    """Readings as degrees off their spec; None if one carries no weight or was not taken."""

    idle: float | None
    peak: float | None
    drift: float | None


def off_spec(machine: MachineFacts, idle: float | None, peak: float | None) -> OffSpec:
    """The part of the readings that can be judged on this machine, with the design's own change subtracted.

    Without a spec only the drift counts. On a retarding or advancing design of unknown size, a drift in the design's
    direction carries no weight, though the tickover reading still does. A drift the other way is judged as on fixed
    timing.
    """
    sign = {"retarding": -1.0, "advancing": 1.0}.get(machine.spec_curve or "fixed", 0.0)
    change = 0.0 if machine.curve_deg is None else sign * machine.curve_deg
    is_free = sign != 0.0 and machine.curve_deg is None
    drift = None if idle is None or peak is None else peak - idle - change
    if is_free and drift is not None and drift * sign > 0:
        drift, peak = None, None
    spec = machine.spec_btdc
    if spec is None:
        return OffSpec(None, None, drift)
    idle_off = None if idle is None else idle - spec
    peak_off = None if peak is None else peak - spec - change
    if is_free and idle is None and peak_off is not None and peak_off * sign > 0:
        peak_off = None
    return OffSpec(idle_off, peak_off, drift)


def log_strobe_by_combination(
    model: Model, machine: MachineFacts, idle: float | None, peak: float | None
) -> Float64s | None:
    """(combinations,) log density of one pair of readings; None if it carries no weight."""
    if idle is None and peak is None:
        return None
    each = log_strobe_each(model, machine, [(idle, peak)])
    return None if each is None else each[0]


def log_strobe_each(
    model: Model, machine: MachineFacts, readings: Sequence[tuple[float | None, float | None]]
) -> Float64s | None:
    """(readings, combinations) log density of several pairs of tickover and peak readings, for each combination of the
    faults that move the timing; None if a pair carries no weight.
    """
    offs = [off_spec(machine, idle, peak) for idle, peak in readings]
    rows = np.empty((len(offs), len(_moments(model).offset)))
    alike: dict[tuple[bool, ...], list[int]] = {}
    for place, off in enumerate(offs):
        alike.setdefault((off.idle is None, off.peak is None, off.drift is None), []).append(place)
    for places in alike.values():
        idle, peak, drift = (_column([value(offs[place]) for place in places]) for value in _VALUES)
        density = _log_density(_moments(model), model.bank.strobe, idle, peak, drift)
        if density is None:
            return None
        if drift is not None and machine.spec_curve is None:
            density = np.logaddexp(*_either(model, density, idle, peak, drift))
        rows[places] = density
    return rows


_VALUES: tuple[Callable[[OffSpec], float | None], ...] = (lambda o: o.idle, lambda o: o.peak, lambda o: o.drift)


def _column(values: list[float | None]) -> Float64s | None:
    """(readings, 1), or None if the values are missing; they are all present or all missing."""
    there = [value for value in values if value is not None]
    return np.array(there)[:, None] if there else None


def combinations_of(model: Model) -> Indices:
    """(sets,) the index of the combination of timing faults that each set contains."""
    return _moments(model).combination


def eases_back_chances(model: Model, machine: MachineFacts, idle: float, peak: float) -> Float64s:
    """(combinations,) chance that the ignition eases back by design, given both readings and no stated curve."""
    off = off_spec(machine, idle, peak)
    columns = [None if value is None else np.array([[value]]) for value in (off.idle, off.peak, off.drift)]
    density = _log_density(_moments(model), model.bank.strobe, *columns)
    if density is None:
        return np.zeros(len(_moments(model).offset))
    fixed, eases_back = _either(model, density, *columns)
    return np.asarray(np.exp(eases_back - np.logaddexp(fixed, eases_back))[0])


def _either(
    model: Model, fixed: Float64s, idle: Float64s | None, peak: Float64s | None, drift: Float64s | None
) -> tuple[Float64s, Float64s]:
    """Log densities, with their shares, of fixed timing and of a unit that eases back by design."""
    bank, moments = model.bank.strobe, _moments(model)
    moved = replace(
        moments,
        drift=moments.drift + bank.eases_back.mean,
        drift_var=moments.drift_var + bank.eases_back.spread**2,
    )
    eases_back = _log_density(moved, bank, idle, peak, drift)
    share = bank.eases_back_by_design
    return fixed + math.log1p(-share), (fixed if eases_back is None else eases_back) + math.log(share)


def _log_density(
    moments: _Moments, bank: Strobe, idle: Float64s | None, peak: Float64s | None, drift: Float64s | None
) -> Float64s | None:
    error = bank.reading_error_deg**2
    if idle is not None and peak is not None:
        return _mixed(bank, _log_pair(moments, idle, peak, error), 2)
    if drift is not None:
        return _mixed(bank, _log_normal(drift - moments.drift, moments.drift_var + 2 * error), 1)
    if idle is not None:
        return _mixed(bank, _log_normal(idle - moments.offset, moments.offset_var + error), 1)
    if peak is not None:
        variance = moments.offset_var + moments.drift_var + error
        return _mixed(bank, _log_normal(peak - moments.offset - moments.drift, variance), 1)
    return None


def _mixed(bank: Strobe, log_density: Float64s, readings: int) -> Float64s:
    """Mixed with the share of readings that are simply misread."""
    log_wild = math.log(bank.wild_reading) - readings * math.log(bank.highest_deg - bank.lowest_deg)
    return np.asarray(np.logaddexp(math.log1p(-bank.wild_reading) + log_density, log_wild))


@dataclass(frozen=True, eq=False)
class _Moments:
    """Means and variances for each combination of the faults that move the timing; combination: (sets,) its index."""

    combination: Indices
    offset: Float64s
    offset_var: Float64s
    drift: Float64s
    drift_var: Float64s


@lru_cache(maxsize=8)
def _moments(model: Model) -> _Moments:
    bank = model.bank.strobe
    moving = [fault for fault in model.bank.fault_ids if fault in bank.offset or fault in bank.drift]
    held = model.has[:, [model.bank.fault_ids.index(fault) for fault in moving]]
    rows, combination = np.unique(held, axis=0, return_inverse=True)
    offset = [bank.offset.get(fault, NOTHING) for fault in moving]
    drift = [bank.drift.get(fault, NOTHING) for fault in moving]
    return _Moments(
        combination=combination.reshape(-1),
        offset=rows @ np.array([s.mean for s in offset]),
        offset_var=rows @ np.array([s.spread**2 for s in offset]) + bank.healthy_offset_spread**2,
        drift=rows @ np.array([s.mean for s in drift]) + bank.healthy_drift.mean * (1.0 - rows.any(axis=1)),
        drift_var=rows @ np.array([s.spread**2 for s in drift]) + bank.healthy_drift.spread**2,
    )


def _log_normal(off: Float64s, variance: Float64s) -> Float64s:
    return np.asarray(-0.5 * (off**2 / variance + np.log(2 * math.pi * variance)))


def _log_pair(moments: _Moments, idle: Float64s, peak: Float64s, error: float) -> Float64s:
    """Log density of both readings: they share the offset, and only the peak has the drift."""
    idle_off = idle - moments.offset
    peak_off = peak - moments.offset - moments.drift
    common = moments.offset_var
    idle_var, peak_var = common + error, common + moments.drift_var + error
    determinant = idle_var * peak_var - common**2
    square = (peak_var * idle_off**2 - 2 * common * idle_off * peak_off + idle_var * peak_off**2) / determinant
    return np.asarray(-0.5 * (square + np.log(4 * math.pi**2 * determinant)))
