"""Conversions between the units that a rolling road meets; factors exact by definition unless their line says more."""

from __future__ import annotations

import math

STANDARD_GRAVITY = 9.80665  # m/s², exact by definition (CGPM 1901)
W_PER_PS = 735.49875  # W, metric horsepower: 75 kgf·m/s exactly, g_n = 9.80665 m/s²
W_PER_HP = 745.69987158227022  # W, mechanical horsepower: 550 ft·lbf/s
MM_PER_INCH = 25.4  # mm, exact (1959)
HPA_PER_INHG = 33.86389  # hPa, conventional inch of mercury at 0 °C
KELVIN_AT_0_CELSIUS = 273.15  # K, exact


def ps(kilowatts: float) -> float:
    """Power in metric horsepower.

    >>> round(ps(1), 6)
    1.359622
    """
    return kilowatts * 1000 / W_PER_PS


def hp(kilowatts: float) -> float:
    """Power in mechanical horsepower.

    >>> round(hp(1), 6)
    1.341022
    """
    return kilowatts * 1000 / W_PER_HP


def kilowatts(torque_nm: float, rpm: float) -> float:
    """Power, kW, of a torque in Nm at a speed in rpm: torque times angular speed.

    >>> round(kilowatts(20, 9000), 4)
    18.8496
    """
    return torque_nm * radians_per_second(rpm) / 1000


def radians_per_second(rpm: float) -> float:
    """Angular speed in rad/s."""
    return rpm * 2 * math.pi / 60


def celsius(fahrenheit: float) -> float:
    """Temperature in °C.

    >>> celsius(68)
    20.0
    """
    return (fahrenheit - 32) / 1.8


def kelvin(celsius: float) -> float:
    """Absolute temperature in K. (Some power corrections are defined with 273 in its place: see there.)"""
    return celsius + KELVIN_AT_0_CELSIUS


def hectopascals(inches_of_mercury: float) -> float:
    """Pressure in hPa."""
    return inches_of_mercury * HPA_PER_INHG


def millimetres(inches: float) -> float:
    """Length in mm."""
    return inches * MM_PER_INCH
