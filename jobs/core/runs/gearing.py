"""Road speed and revs of a machine in one gear, from its gearing and tyre."""

from __future__ import annotations

import re

from garage.core.errors import BadInput, Unquoted

ROLLED = 3.05  # of the tyre's diameter in one turn, under load: a rule of thumb of tyre makers, from memory
MM_PER_INCH = 25.4
MOST_REDUCTION = 100.0  # crank turns for one of the wheel; a moped's first gear has about 40
ROLL_OUT_MM = (500.0, 4000.0)
_SIZE = re.compile(r"(\d{2,3})\s*/\s*(\d{2,3})\s*-\s*[A-Z]*\s*(\d{1,2})", re.IGNORECASE)
_LENGTH = re.compile(r"(\d{3,4}(?:[.,]\d)?)(?:\s*mm)?")


def roll_out_mm(tyre: str) -> float:
    """How far the wheel rolls in one turn, in mm. tyre: its size, or the way itself as measured on the floor.

    Raises BadInput for anything else. Source: ETRTO's overall diameter, rim + 2 · width · aspect.

    >>> round(roll_out_mm("90/90-18"), 1), roll_out_mm("1854 mm")
    (1888.6, 1854.0)
    """
    length, size = _LENGTH.fullmatch(tyre.strip()), _SIZE.fullmatch(tyre.strip())
    if length:
        way = float(length[1].replace(",", "."))
    elif size:
        width, aspect, rim = map(int, size.groups())
        way = ROLLED * (rim * MM_PER_INCH + 2 * width * aspect / 100)
    else:
        raise BadInput("Tyre", tyre, "a size such as 90/90-18, or how far the wheel rolls in a turn, such as 1854 mm")
    least, most = ROLL_OUT_MM
    if not least <= way <= most:
        raise BadInput("Tyre", tyre, f"one that rolls {least:g} to {most:g} mm in a turn")
    return way


def rpm_per_km_h(reduction: float, way_mm: float) -> float:
    """Engine turns a minute for each km/h. reduction: crank turns for one of the wheel, primary, gear and chain in one.

    Raises BadInput for a reduction out of range. Source: V = 0.06 · D · n · R, French order of 27 March 1979, art. 2.

    >>> round(133.2 * rpm_per_km_h(7.5, 1850), 6)
    9000.0
    """
    if not 0 < reduction <= MOST_REDUCTION:
        allowed = f"above 0, at most {MOST_REDUCTION:g} crank turns for one of the wheel"
        raise BadInput("Reduction", Unquoted(f"{reduction:g}"), allowed)
    return reduction / (0.06 * way_mm / 1000)
