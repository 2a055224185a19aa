"""What a column of a logger's file can hold, and in which unit: everything becomes one unit of each quantity.

Factors are products of exact definitions: the international foot (0.3048 m) and pound (0.45359237 kg), 1959, and
standard gravity (9.80665 m/s²), 3rd CGPM 1901. Mercury is taken at 0 °C with 13 595.1 kg/m³ (conventional).
"""

from __future__ import annotations

from dataclasses import dataclass

G_N = 9.80665  # m/s²
M_PER_FT = 0.3048
KG_PER_LB = 0.45359237
NM_PER_LBF_FT = M_PER_FT * KG_PER_LB * G_N
W_PER_HP = 550 * NM_PER_LBF_FT  # W, mechanical horsepower: 550 ft·lbf/s
W_PER_PS = 75 * G_N  # W, metric horsepower: 75 kgf·m/s
KM_H_PER_MPH = 1.609344
HPA_PER_INHG = 13595.1 * G_N * 0.0254 / 100
AIR_FUEL_OF_PETROL = 14.7  # kg of air for 1 kg of petrol that burns it all; common practice, less with ethanol in it


@dataclass(frozen=True)
class Unit:
    """A value in this unit, times scale, plus offset, is one in the quantity's own unit.

    words: how loggers write it, in small letters without spaces, dots and brackets.
    """

    symbol: str
    scale: float
    words: tuple[str, ...] = ()
    offset: float = 0.0

    def to_own(self, value: float) -> float:
        return value * self.scale + self.offset


@dataclass(frozen=True)
class Quantity:
    """units: its own first. words: by which the name of a column is known, in small letters."""

    id: str
    says: str
    units: tuple[Unit, ...]
    words: tuple[str, ...] = ()

    def unit(self, symbol: str) -> Unit:
        """Raises KeyError for one that it does not have."""
        for unit in self.units:
            if unit.symbol == symbol:
                return unit
        raise KeyError(symbol)


TIME = Quantity(
    "time",
    "time",
    (Unit("s", 1.0, ("s", "sec", "secs", "seconds", "sek")), Unit("ms", 0.001, ("ms", "msec"))),
    ("time", "zeit", "temps", "tempo", "tiempo"),
)
REVS = Quantity(
    "revs",
    "engine speed",
    (Unit("rpm", 1.0, ("rpm", "1/min", "u/min", "min-1", "min^-1", "tr/min", "r/min")),),
    ("rpm", "revs", "engine speed", "drehzahl", "engine rev", "régime", "giri", "n mot"),
)
SPEED = Quantity(
    "speed",
    "road speed",
    (
        Unit("km/h", 1.0, ("km/h", "kmh", "kph", "km/hr")),
        Unit("mph", KM_H_PER_MPH, ("mph", "mi/h", "miles/h")),
        Unit("m/s", 3.6, ("m/s", "mps")),
    ),
    ("speed", "velocity", "geschwindigkeit", "vitesse", "velocità"),
)
ROLLER = Quantity(
    "roller",
    "roller’s turns",
    (Unit("rpm", 1.0, ("rpm", "1/min", "u/min", "min-1", "tr/min", "r/min")),),
    ("roller", "drum", "rolle", "rouleau"),
)
TORQUE = Quantity(
    "torque",
    "torque",
    (
        Unit("Nm", 1.0, ("nm", "n*m")),
        Unit(
            "lbf·ft", NM_PER_LBF_FT, ("lbfft", "lbft", "lb-ft", "ft-lb", "ftlb", "ftlbs", "ftlbf", "ft-lbs", "lbfxft")
        ),
    ),
    ("torque", "moment", "couple", "coppia"),
)
POWER = Quantity(
    "power",
    "power",
    (
        Unit("kW", 1000.0, ("kw",)),
        Unit("hp", W_PER_HP, ("hp", "bhp", "whp")),
        Unit("PS", W_PER_PS, ("ps", "cv", "ch", "pk")),
    ),
    ("power", "leistung", "puissance", "potenza"),
)
AIR_FUEL = Quantity(
    "air-fuel",
    "air–fuel ratio",
    (Unit("AFR", 1.0, ("afr",)), Unit("lambda", AIR_FUEL_OF_PETROL, ("lambda", "λ"))),
    ("afr", "air fuel", "air/fuel", "air-fuel", "lambda", "mixture"),
)
QUANTITIES = (TIME, ROLLER, REVS, SPEED, TORQUE, POWER, AIR_FUEL)  # in the order in which names are compared

PRESSURE = Quantity("pressure", "air pressure", (Unit("hPa", 1.0), Unit("bar", 1000.0), Unit("inHg", HPA_PER_INHG)))
TEMPERATURE = Quantity("temperature", "air temperature", (Unit("°C", 1.0), Unit("°F", 5 / 9, offset=-160 / 9)))
