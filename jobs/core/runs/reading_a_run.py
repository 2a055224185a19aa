"""From a logger's file to a run's curve: the one place that puts columns, rollers, gearing and smoothing together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from garage.core.errors import BadInput, Unquoted
from jobs.core.runs.curve import RAD_S_PER_RPM, PowerCurve, curve_of
from jobs.core.runs.logger.cell_numbers import Numbers
from jobs.core.runs.logger.column_names import ColumnName, Holds, unit_said
from jobs.core.runs.logger.logger_table import LoggerTable, read_columns, read_head
from jobs.core.runs.rollers import FEWEST, RollerPull, Rollers, check_window, pull_of, roller_pull
from jobs.core.runs.smoothing import smoothed
from jobs.core.runs.units import AIR_FUEL, POWER, REVS, ROLLER, SPEED, TIME, TORQUE

AGREES = 0.03  # share by which power and torque × revs may differ: rounding of loggers; hp and PS differ by 0.014
LOOKED_AT = 0.1  # share of the highest power below which rounding is all that is compared

# How the power came about.
LOGGED, FROM_TORQUE, FROM_ROLLERS = "logged", "torque", "rollers"


@dataclass(frozen=True)
class AskedOfFile:
    """What a person says of a file.

    columns: by number, counted from 0. rollers: the garage's, or None if nobody said. rpm_per_km_h: of the machine's
    gearing, or None. window_s: of the smoothing. adds_losses: the clutch was pulled after the pull.
    """

    columns: Mapping[int, Holds]
    rollers: Rollers | None = None
    rpm_per_km_h: float | None = None
    window_s: float = 0.2
    adds_losses: bool = False


@dataclass(frozen=True)
class ReadRun:
    """lost_w: what the run-down lost, at the highest revs; None if it was not added. how: LOGGED and so on."""

    curve: PowerCurve
    how: str
    lost_w: float | None = None


def read_run(raw: bytes, asked: AskedOfFile) -> ReadRun:
    """Raises BadInput for whatever cannot be used: the file, a column, units that contradict, falling time."""
    check_window(asked.window_s)
    named = _named(asked.columns)
    _check_units(read_head(raw).columns, asked.columns)
    table = read_columns(raw, [*asked.columns])
    columns = {holds.quantity.id: table.columns[index] * holds.unit.scale for index, holds in asked.columns.items()}
    if TIME.id in named:
        columns = _rising_time(columns, table)
    columns = _with_revs(columns, asked)
    if POWER.id in columns or TORQUE.id in columns:
        return _as_logged(columns, asked.window_s)
    return _from_rollers(columns, asked)


def _named(columns: Mapping[int, Holds]) -> set[str]:
    """The quantities that are there. Raises BadInput if one is there twice, or if no power can come of them."""
    named = [holds.quantity for holds in columns.values()]
    for quantity in named:
        if named.count(quantity) > 1:
            raise BadInput(f"The column of {quantity.says}", Unquoted("chosen twice"), "one column of each kind")
    ids = {quantity.id for quantity in named}
    if not ids & {POWER.id, TORQUE.id} and not (TIME.id in ids and ids & {SPEED.id, ROLLER.id}):
        allowed = "power or torque, or time with road speed or the roller’s turns"
        raise BadInput("What the power comes from", None, allowed)
    return ids


def _check_units(names: tuple[ColumnName, ...], columns: Mapping[int, Holds]) -> None:
    for index, holds in columns.items():
        if index >= len(names):
            raise BadInput("Column", index + 1, f"1 to {len(names)}")
        said = unit_said(names[index], holds.quantity)
        if said and said != holds.unit:
            allowed = f"{said.symbol}, as the file says; if its line of units is wrong, mend that first"
            raise BadInput(f"Column {index + 1}, {names[index].words or 'without a name'}", holds.unit.symbol, allowed)


def _rising_time(columns: dict[str, Numbers], table: LoggerTable) -> dict[str, Numbers]:
    """Of readings with the same time, which a coarse clock gives, the first one stays."""
    time_s = columns[TIME.id]
    falls = np.flatnonzero(np.diff(time_s) < 0)
    if len(falls):
        at = int(falls[0])
        found = f"{time_s[at + 1]:g} s after {time_s[at]:g} s"
        raise BadInput(
            f"Line {table.lines[at + 1]}, time", Unquoted(found), "a time that never falls: one run in a file"
        )
    stays = np.concatenate([[True], np.diff(time_s) > 0])
    if np.count_nonzero(stays) < FEWEST:
        raise BadInput("Time", Unquoted("always the same"), "a time that rises from line to line")
    return {name: column[stays] for name, column in columns.items()}


def _with_revs(columns: dict[str, Numbers], asked: AskedOfFile) -> dict[str, Numbers]:
    """With the engine's speed, by the gearing if no column has it."""
    if REVS.id in columns:
        return columns
    if asked.rpm_per_km_h is None:
        allowed = "a column of them, or reduction and tyre, so that they come from the road speed"
        raise BadInput("Engine speed", None, allowed)
    return {**columns, REVS.id: _road_speed(columns, asked.rollers) * asked.rpm_per_km_h}


def _road_speed(columns: Mapping[str, Numbers], rollers: Rollers | None) -> Numbers:
    """km/h at the tyre."""
    if SPEED.id in columns:
        return columns[SPEED.id]
    if ROLLER.id not in columns:
        raise BadInput("Engine speed", None, "a column of it, or one of road speed")
    return columns[ROLLER.id] * RAD_S_PER_RPM * _needed(rollers).diameter_mm / 2000 * 3.6


def _needed(rollers: Rollers | None) -> Rollers:
    if rollers is None:
        raise BadInput(
            "Inertia", None, "the rollers’ inertia and diameter: the boss writes them down once, under Rollers"
        )
    return rollers


def _from_rollers(columns: Mapping[str, Numbers], asked: AskedOfFile) -> ReadRun:
    rollers = _needed(asked.rollers)
    time_s = columns[TIME.id]
    turning = columns[ROLLER.id] * RAD_S_PER_RPM if ROLLER.id in columns else rollers.turning(columns[SPEED.id])
    pull = roller_pull(time_s, turning, rollers, window_s=asked.window_s, adds_losses=asked.adds_losses)
    fuel = np.interp(pull.time_s, time_s, columns[AIR_FUEL.id]) if AIR_FUEL.id in columns else None
    curve = curve_of(_revs_in(pull, columns, asked.window_s), pull.power_w, pull.seconds, fuel)
    return ReadRun(curve, FROM_ROLLERS, round(float(pull.lost_w[-1]), 1) if asked.adds_losses else None)


def _revs_in(pull: RollerPull, columns: Mapping[str, Numbers], window_s: float) -> Numbers:
    """Smoothed as the rollers' speed is, since a spark now and then gives a logger another count."""
    time_s = columns[TIME.id]
    return np.interp(pull.time_s, time_s, smoothed(time_s, columns[REVS.id], window_s))


def _as_logged(columns: Mapping[str, Numbers], window_s: float) -> ReadRun:
    """Power as the logger gives it, or torque × revs, along the pull."""
    rpm = columns[REVS.id]
    from_torque = columns[TORQUE.id] * rpm * RAD_S_PER_RPM if TORQUE.id in columns else None
    power = columns.get(POWER.id, from_torque)
    assert power is not None  # noqa: S101  (one of the two is there: _named has seen to it)
    if POWER.id in columns and from_torque is not None:
        _check_agreement(power, from_torque)
    time_s = columns.get(TIME.id)
    if time_s is not None and window_s:
        rpm, power = smoothed(time_s, rpm, window_s), smoothed(time_s, power, window_s)
    begins, highest = pull_of(rpm) if time_s is not None else pull_of(rpm, 0.0)  # a curve is cut already
    pull = slice(begins, highest + 1)
    seconds = np.ones(highest + 1 - begins) if time_s is None else np.gradient(time_s[pull])
    fuel = columns[AIR_FUEL.id][pull] if AIR_FUEL.id in columns else None
    curve = curve_of(rpm[pull], power[pull], seconds, fuel)
    return ReadRun(curve, LOGGED if POWER.id in columns else FROM_TORQUE)


def _check_agreement(power: Numbers, from_torque: Numbers) -> None:
    """Raises BadInput if a column of power and one of torque cannot both be right in their units."""
    strong = power > LOOKED_AT * power.max()
    ratio = float(np.median(from_torque[strong] / power[strong])) if strong.any() else 1.0
    if abs(ratio - 1) > AGREES:
        found = Unquoted(f"{ratio:.3g} times the power")
        raise BadInput(
            "Torque × revs", found, "the same: the unit of one of the columns is another, or one is corrected"
        )
