"""Crank degrees before top dead centre to millimetres of piston travel and back; no pin offset."""

from __future__ import annotations

import math
from fractions import Fraction

from garage.core.exact import Number, exact

LONGEST_MM = 10_000  # far beyond any engine on a rolling road; keeps every result finite
LENGTH = f"a length above 0, at most {LONGEST_MM} mm"


def btdc_mm(btdc_deg: Number, stroke_mm: Number, rod_mm: Number) -> float:
    """Distance of the piston below top dead centre, in mm, 0 to the stroke.

    btdc_deg: crank degrees before TDC, 0 to 180. stroke_mm, rod_mm: > 0; rod longer than half the stroke.
    Raises BadInput naming the field that is out of range.
    Source: slider-crank closed form, no pin offset (Heywood 1988, section 2.2; from memory), written with the half
    angle so that small angles lose no digits.

    >>> round(btdc_mm(18, stroke_mm=54, rod_mm=110), 3)
    1.638
    """
    stroke, rod = _stroke_and_rod(stroke_mm, rod_mm)
    half_deg = float(exact("btdc_deg", btdc_deg, "crank degrees from 0 to 180", least=0, most=180) / 2)
    throw_mm, ratio = float(stroke / 2), float(stroke / 2 / rod)
    half_sine, sine = math.sin(math.radians(half_deg)), math.sin(math.radians(2 * half_deg))
    rod_drop = ratio * sine**2 / (1 + math.sqrt(max(0.0, 1 - (ratio * sine) ** 2)))
    return min(throw_mm * (2 * half_sine**2 + rod_drop), float(stroke))


def btdc_deg(btdc_mm: Number, stroke_mm: Number, rod_mm: Number) -> float:
    """Crank angle before top dead centre, in degrees, 0 to 180, from the position of the piston.

    btdc_mm: piston below TDC, 0 to the stroke. stroke_mm, rod_mm: > 0; rod longer than half the stroke.
    Raises BadInput naming the field that is out of range.
    Source: law of cosines on crank, rod and pin height, as the tangent of the half angle.

    >>> round(btdc_deg(2, stroke_mm=54, rod_mm=110), 3)
    19.916
    """
    stroke, rod = _stroke_and_rod(stroke_mm, rod_mm)
    travel = exact("btdc_mm", btdc_mm, f"a travel from 0 to the stroke of {float(stroke):g} mm", least=0, most=stroke)
    rise = float(travel * (2 * rod - travel))
    rest = float((stroke - travel) * (2 * rod + stroke - travel))
    return math.degrees(2 * math.atan2(math.sqrt(rise), math.sqrt(rest)))


def rim_mm(btdc_deg: Number, flywheel_mm: Number) -> float:
    """Arc on the flywheel's rim between the mark and top dead centre, in mm.

    btdc_deg: 0 to 180. flywheel_mm: diameter of the rim, > 0. Raises BadInput naming the field.
    Source: arc = pi * diameter * degrees / 360.

    >>> round(rim_mm(18, flywheel_mm=110), 4)
    17.2788
    """
    diameter = exact("flywheel_mm", flywheel_mm, LENGTH, above=0, most=LONGEST_MM)
    angle = exact("btdc_deg", btdc_deg, "crank degrees from 0 to 180", least=0, most=180)
    return math.pi * float(diameter * angle / 360)


def _stroke_and_rod(stroke_mm: Number, rod_mm: Number) -> tuple[Fraction, Fraction]:
    stroke = exact("stroke_mm", stroke_mm, LENGTH, above=0, most=LONGEST_MM)
    longer = f"a length over half the stroke, {float(stroke / 2):g} mm, and at most {LONGEST_MM} mm"
    return stroke, exact("rod_mm", rod_mm, longer, above=stroke / 2, most=LONGEST_MM)
