"""Drawings of what to do before coming: what to bring, fuel, tyre and chain, straps, how it stands on the rollers."""

from __future__ import annotations

import math

from diagnostics.core.guides.drawn import machine
from diagnostics.core.guides.pen import (
    Drawing,
    Mark,
    bend,
    box,
    circle,
    joined,
    label,
    labelled,
    line,
    measure,
    polar,
    shape,
    turning,
)
from garage.core.text.languages import told_later

ROLLER = 20  # units, radius


def _bring() -> Drawing:
    marks = joined(
        _key(),
        _plug(),
        _can(),
        _notes(),
        label("keys", (58, 100), anchor="middle"),
        label("new plug of its grade", (316, 100), anchor="end"),
        label("fuel, ready mixed", (8, 218)),
        label("jets and dates", (180, 218)),
    )
    return Drawing(
        "bring",
        "What to bring",
        told_later(
            "Four things to bring: the keys, a new plug of the right grade, a can of fuel that is ready mixed, and a "
            "note of the jets in it and of what was changed when."
        ),
        228,
        marks,
    )


def _key() -> tuple[Mark, ...]:
    blade = line((52, 45), (98, 45), (104, 51), (92, 51), (88, 57), (82, 51), (52, 51))
    return circle(36, 48, 16), circle(30, 48, 4), blade


def _plug() -> tuple[Mark, ...]:
    return joined(
        box(176, 44, 10, 8),
        shape((186, 40), (224, 38), (224, 58), (186, 56)),
        [line((x, 40), (x, 56), thin=True) for x in (194, 202, 210)],
        box(224, 32, 16, 32),
        box(240, 38, 32, 20),
        [line((x, 38), (x - 3, 58), thin=True) for x in (248, 256, 264, 271)],
        line((272, 48), (278, 48)),
        line((272, 40), (283, 40), (283, 48)),
    )


def _can() -> tuple[Mark, ...]:
    return joined(
        box(30, 142, 62, 56, round_by=6),
        box(72, 132, 14, 10),
        bend((38, 142), (48, 124), (62, 142)),
        line((30, 166), (92, 166), thin=True),
    )


def _notes() -> tuple[Mark, ...]:
    return joined(
        shape((196, 128), (252, 128), (266, 142), (266, 200), (196, 200)),
        line((252, 128), (252, 142), (266, 142)),
        [line((206, y), (254, y), thin=True) for y in (154, 166, 178, 190)],
    )


def _fuel() -> Drawing:
    level = 87.0
    waves = [(76, 98), (112, 104), (94, 114), (132, 118), (162, 100), (148, 110)]
    marks = joined(
        line((60, 112), (66, 64)),
        bend((66, 64), (90, 40), (150, 42)),
        bend((150, 42), (232, 48), (262, 92)),
        line((262, 92), (240, 132), (96, 132)),
        bend((96, 132), (66, 130), (60, 112)),
        line((63, level), (259, level), red=True),
        [line((x, y), (x + 12, y), thin=True) for x, y in waves],
        box(116, 30, 34, 12, round_by=4),
        line((126, 132), (126, 144)),
        box(116, 144, 20, 12),
        line((136, 150), (152, 150)),
        bend((126, 156), (126, 190), (96, 196)),
        labelled("cap, breather free", (166, 26), (144, 34)),
        labelled("half full", (186, 118), (196, level), red=True),
        labelled("tap opens and shuts", (148, 186), (150, 152)),
        labelled("pipe dry", (20, 180), (121, 180)),
    )
    return Drawing(
        "fuel",
        "The tank, half full",
        told_later(
            "A tank cut through, with fuel to half its height. The breather in its cap is free, the tap opens and "
            "shuts, and nothing drips from the pipe."
        ),
        212,
        marks,
    )


def _tyre() -> Drawing:
    middle = (106.0, 108.0)
    tread = [line(polar(middle, 86, turn), polar(middle, 81, turn + 4), thin=True) for turn in range(0, 360, 9)]
    marks = joined(
        circle(*middle, 88),
        circle(*middle, 66),
        circle(*middle, 60),
        [line(polar(middle, 12, turn), polar(middle, 60, turn + 10), thin=True) for turn in range(0, 360, 24)],
        circle(*middle, 12),
        circle(*middle, 26),
        tread,
        line((108, 82), (300, 92)),
        bend((106, 134), (205, 112), (300, 124), dashed=True),
        bend((106, 134), (205, 148), (300, 124)),
        line(polar(middle, 60, 165), polar(middle, 46, 165)),
        labelled("road tread", (206, 26), polar(middle, 84, 50)),
        labelled("valve: set the pressure", (124, 226), polar(middle, 50, 165)),
        measure((236, 119), (236, 139), red=True),
        label("chain’s play", (212, 168), red=True),
    )
    return Drawing(
        "tyre",
        "Rear tyre and chain",
        told_later(
            "The rear wheel with a road tread, without stones in it. The pressure is set at the valve, and the chain "
            "has its play on the lower run."
        ),
        236,
        marks,
    )


def _straps() -> Drawing:
    corners = [
        ((226, 95), (296, 18)),
        ((226, 105), (296, 182)),
        ((118, 90), (46, 34)),
        ((118, 110), (46, 166)),
    ]  # from the machine to the floor
    marks = joined(
        machine.from_above(),
        [line(*ends, red=True) for ends in corners],
        [circle(*anchor, 5, red=True) for _, anchor in corners],
        box(24, 4, 288, 192, round_by=4),
        labelled("lower yoke", (150, 40), (226, 95)),
        labelled("frame", (112, 156), (118, 110)),
        labelled("ring in the floor", (96, 222), (48, 168)),
    )
    return Drawing(
        "straps",
        "Four straps on a trailer, from above",
        told_later(
            "The machine on a trailer, from above. Two straps run from the lower yoke forwards and outwards to rings "
            "in the floor, two from the frame backwards and outwards."
        ),
        232,
        marks,
    )


def _rollers() -> Drawing:
    floor, apart = 190.0, 22.0
    touching = machine.WHEEL + ROLLER  # units between the middles of wheel and roller
    roller_y = machine.FRONT[1] + math.sqrt(touching**2 - apart**2)
    marks = joined(
        machine.strapped_machine(),
        line((4, floor), (26, floor)),
        line((118, floor), (316, floor)),
        [circle(x, roller_y, ROLLER) for x in (machine.REAR[0] - apart, machine.REAR[0] + apart)],
        turning((machine.REAR[0] - apart, roller_y), 11, 60, -120),
        line((224, 76), (312, floor), red=True),
        line((96, 92), (16, floor), red=True),
        shape((200, floor), (221, 179), (226, floor)),
        shape((300, floor), (279, 179), (274, floor)),
        labelled("fork half down", (312, 48), (236, 106), anchor="end"),
        labelled("strap", (8, 78), (56, 140), red=True),
        labelled("rollers", (132, 236), (112, 214)),
        labelled("chock", (222, 236), (282, 186)),
    )
    return Drawing(
        "rollers",
        "On the rollers",
        told_later(
            "The machine strapped down. Its rear wheel sits in the dip between two rollers in the floor, the front "
            "wheel in a chock. Straps from the fork and the frame pull it down, the fork halfway through its travel."
        ),
        242,
        marks,
    )


DRAWINGS = (_bring(), _fuel(), _tyre(), _straps(), _rollers())
