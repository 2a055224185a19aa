"""The engine of a small two-stroke single, seen from the flywheel's side, with the places that a sheet points at."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnostics.core.guides.pen import (
    Drawing,
    Mark,
    Point,
    arc,
    bend,
    box,
    circle,
    joined,
    label,
    line,
    shape,
)
from garage.core.text.languages import told, told_later

HEIGHT = 312  # units
CRANK = (162, 232)  # units: the middle of crankcase and flywheel


@dataclass(frozen=True)
class EnginePlace:
    """name: in English. at, r: its ring; number_at: the middle of the number's foot, units."""

    name: str
    at: Point
    r: float
    number_at: Point


PLACES: Mapping[str, EnginePlace] = {
    "stop-switch": EnginePlace(told_later("stop switch"), (270, 34), 13, (290, 30)),
    "plug": EnginePlace(told_later("plug, cap and lead"), (162, 72), 18, (138, 66)),
    "coil": EnginePlace(told_later("ignition coil"), (222, 66), 15, (244, 64)),
    "cdi": EnginePlace(told_later("ignition unit (CDI)"), (240, 112), 18, (266, 105)),
    "head": EnginePlace(told_later("head gasket"), (162, 106), 22, (195, 104)),
    "cylinder": EnginePlace(told_later("rings, piston and bore"), (162, 140), 24, (198, 146)),
    "earth": EnginePlace(told_later("earths and wiring"), (278, 164), 14, (300, 164)),
    "pickup": EnginePlace(told_later("pickup"), (207, 222), 13, (226, 242)),
    "stator": EnginePlace(told_later("stator plate and its windings"), (146, 243), 13, (134, 264)),
    "key": EnginePlace(told_later("flywheel key"), (162, 222), 9, (177, 217)),
    "flywheel": EnginePlace(told_later("flywheel and its magnets"), (162, 232), 35, (192, 208)),
    "crank": EnginePlace(told_later("crank: its seals and main bearings"), (162, 232), 15, (183, 247)),
    "exhaust": EnginePlace(told_later("exhaust"), (280, 286), 22, (286, 258)),
    "tap": EnginePlace(told_later("fuel tap"), (84, 92), 12, (64, 98)),
    "slide": EnginePlace(told_later("slide, needle and throttle cable"), (92, 142), 14, (117, 130)),
    "filter": EnginePlace(told_later("air filter and choke"), (44, 164), 20, (44, 204)),
    "inlet": EnginePlace(told_later("joints of the inlet"), (118, 164), 12, (118, 150)),
    "reed": EnginePlace(told_later("reed valve"), (130, 164), 12, (129, 190)),
    "jets": EnginePlace(told_later("jets"), (92, 178), 11, (111, 188)),
    "float": EnginePlace(told_later("float and its bowl"), (92, 194), 13, (112, 206)),
    "clutch": EnginePlace(told_later("clutch"), (112, 262), 15, (90, 262)),
    "oil-pump": EnginePlace(told_later("oil pump"), (150, 287), 12, (170, 296)),
}


def engine(marked: Sequence[str]) -> Drawing:
    """marked: ids of PLACES, each once, likeliest first. Each is ringed and numbered, so that none is told by its
    colour alone; the page names the numbers, since a name fits beside its ring in no language but English.
    """
    names = ", ".join(f"{number} {told(PLACES[place].name)}" for number, place in enumerate(marked, start=1))
    tells = told("A two-stroke engine seen from the flywheel’s side. Ringed and numbered: {places}.", places=names)
    rings = [mark for number, place in enumerate(marked, start=1) for mark in _ringed(number, PLACES[place])]
    title = told_later("The engine, and where your answers point")
    return Drawing("engine", title, tells, HEIGHT, joined(_top(), _bottom(), _intake(), _electrics(), rings))


def _ringed(number: int, place: EnginePlace) -> tuple[Mark, ...]:
    ring = circle(*place.at, place.r, red=True)
    return ring, label(str(number), place.number_at, anchor="middle", red=True, bold=True)


def _top() -> tuple[Mark, ...]:
    """Plug, head, cylinder with its fins, and the exhaust."""
    fins = [line((132, y), (192, y)) for y in (118, 128, 138, 148, 158)]
    return joined(
        box(157, 62, 10, 14, round_by=3),
        line((159, 76), (159, 90)),
        line((165, 76), (165, 90)),
        shape((142, 90), (182, 90), (188, 104), (136, 104)),
        line((136, 108), (188, 108)),
        fins,
        line((140, 108), (140, 194)),
        line((184, 108), (184, 194)),
        bend((184, 172), (262, 168), (256, 218)),
        bend((256, 218), (250, 278), (266, 276)),
        bend((184, 186), (242, 184), (240, 220)),
        bend((240, 220), (234, 298), (266, 296)),
        shape((266, 276), (302, 276), (310, 286), (302, 296), (266, 296)),
    )


def _bottom() -> tuple[Mark, ...]:
    """Crankcase, flywheel with its key, stator winding, pickup, clutch case and oil pump."""
    return joined(
        arc(CRANK, 46, 28, 332),
        circle(*CRANK, 32),
        circle(*CRANK, 8),
        box(160, 219, 4, 6, solid=True),
        box(137, 239, 15, 8, round_by=2),
        line((142, 239), (142, 247), thin=True),
        line((147, 239), (147, 247), thin=True),
        box(197, 216, 18, 12, round_by=2),
        line((197, 222), (194, 222)),
        bend((122, 256), (78, 244), (84, 276)),
        bend((84, 276), (92, 292), (138, 272)),
        circle(112, 262, 8, thin=True),
        box(142, 280, 16, 14, round_by=3),
    )


def _intake() -> tuple[Mark, ...]:
    """Tank, tap, carburettor with its slide, jet and float, air filter, inlet with its reed valve."""
    return joined(
        bend((26, 76), (28, 50), (60, 48)),
        line((60, 48), (126, 54), (132, 76), (26, 76)),
        line((84, 76), (84, 86)),
        box(79, 86, 10, 12),
        bend((84, 98), (64, 140), (80, 188)),
        box(76, 150, 32, 30),
        box(84, 134, 16, 16),
        bend((92, 134), (94, 112), (110, 84)),
        line((92, 170), (92, 186)),
        shape((78, 180), (106, 180), (103, 204), (81, 204)),
        line((83, 194), (89, 194)),
        line((95, 194), (101, 194)),
        shape((28, 146), (60, 150), (60, 178), (28, 182)),
        line((60, 158), (76, 158)),
        line((60, 172), (76, 172)),
        line((108, 156), (140, 156)),
        line((108, 172), (140, 172)),
        line((122, 164), (136, 158)),
        line((122, 164), (136, 170)),
    )


def _electrics() -> tuple[Mark, ...]:
    """Lead, coil, CDI, stop switch, earth, and the wires between them."""
    return joined(
        bend((162, 62), (176, 30), (212, 62)),
        box(212, 56, 20, 20, round_by=3),
        box(226, 102, 28, 20, round_by=2),
        bend((222, 76), (222, 90), (232, 102)),
        box(263, 28, 14, 12, round_by=2),
        bend((268, 40), (276, 80), (250, 102)),
        bend((254, 116), (280, 120), (278, 158)),
        line((266, 158), (290, 158)),
        line((270, 164), (286, 164)),
        line((274, 170), (282, 170)),
        bend((240, 122), (244, 196), (215, 222)),
    )
