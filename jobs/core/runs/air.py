"""The air at a run: how much of it is water, and how dense it is."""

from __future__ import annotations

import math
from dataclasses import dataclass

from garage.core.errors import BadInput, Unquoted

KELVIN = 273.15
R_DRY = 287.055  # J/(kg·K), dry air
R_VAPOUR = 461.495  # J/(kg·K), water vapour

# Each from, to and words: what a workshop can have. Below 0 °C the vapour over ice differs by less than 0.3 hPa.
PRESSURE_HPA = (800.0, 1100.0, "800 to 1,100 hPa, as a barometer in the room shows it")
TEMPERATURE_C = (-10.0, 50.0, "-10 to 50 °C")
HUMIDITY_PERCENT = (0.0, 100.0, "0 to 100 %")

# IAPWS-IF97, equation 30: the line of saturation; n1 to n10, dimensionless with K and MPa.
_IF97 = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)


@dataclass(frozen=True)
class Air:
    """pressure_hpa: the whole pressure, not reduced to sea level. Raises BadInput naming the value out of range."""

    pressure_hpa: float
    temperature_c: float
    humidity_percent: float

    def __post_init__(self) -> None:
        _within("Pressure", self.pressure_hpa, PRESSURE_HPA)
        _within("Temperature", self.temperature_c, TEMPERATURE_C)
        _within("Humidity", self.humidity_percent, HUMIDITY_PERCENT)

    @property
    def vapour_hpa(self) -> float:
        return self.humidity_percent / 100 * saturation_hpa(self.temperature_c + KELVIN)

    @property
    def dry_hpa(self) -> float:
        """The pressure without that of the water vapour."""
        return self.pressure_hpa - self.vapour_hpa

    @property
    def density_kg_m3(self) -> float:
        """Of a mixture of ideal gases.

        >>> round(Air(990, 25, 40).density_kg_m3, 4)
        1.1511
        """
        kelvin = self.temperature_c + KELVIN
        return 100 * (self.dry_hpa / R_DRY + self.vapour_hpa / R_VAPOUR) / kelvin


def saturation_hpa(kelvin: float) -> float:
    """Pressure of water vapour over water, in hPa, from 263 to 647 K. Source: IAPWS-IF97, equation 30.

    >>> round(saturation_hpa(293.15), 4)
    23.3921
    """
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = _IF97
    theta = kelvin + n9 / (kelvin - n10)
    a = theta**2 + n1 * theta + n2
    b = n3 * theta**2 + n4 * theta + n5
    c = n6 * theta**2 + n7 * theta + n8
    megapascal: float = (2 * c / (-b + math.sqrt(b**2 - 4 * a * c))) ** 4
    return megapascal * 1e4


def richer_percent(now: Air, before: Air) -> float:
    """By how much the mixture is richer now with the same jets, in per cent; below 0 it is leaner.

    A rule of thumb: at the same revs the air goes with the density, the fuel of a carburettor with its square root
    (Bernoulli), so their ratio goes with one over the square root.
    """
    return 100 * (math.sqrt(before.density_kg_m3 / now.density_kg_m3) - 1)


def _within(where: str, value: float, limits: tuple[float, float, str]) -> None:
    least, most, allowed = limits
    if not least <= value <= most:
        raise BadInput(where, Unquoted(f"{value:g}"), allowed)
