"""Drawings of what to do before coming: what to bring, fuel, tyre and chain, straps, and how it stands on the rollers."""

from __future__ import annotations

from diagnostics.core.guides.drawn import machine
from diagnostics.core.guides.pen import (
    Drawing,
    Mark,
    bend,
    box,
    circle,
    joined,
    label,
    line,
    measure,
    named,
    polar,
    shape,
    turning,
)


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
        "Four things to bring: the keys, a new plug of the right grade, a can of fuel that is ready "
        "mixed, and a note of the "
        "jets in it and of what was changed when.",
        228,
        marks,
    )


def _key() -> tuple[Mark, ...]:
    return (
        circle(36, 48, 16),
        circle(30, 48, 4),
        line((52, 45), (98, 45), (104, 51), (92, 51), (88, 57), (82, 51), (52, 51)),
    )


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
    level = 92.0
    marks = joined(
        shape((54, 60), (78, 42), (166, 42), (250, 62), (262, 84), (238, 132), (112, 132), (62, 118)),
        line((57, level), (258, level), red=True),
        [
            line(
                (70 + 24 * step, level + 12 + 9 * (step % 3)), (82 + 24 * step, level + 12 + 9 * (step % 3)), thin=True
            )
            for step in range(7)
        ],
        box(110, 30, 34, 12, round_by=4),
        line((126, 132), (126, 144)),
        box(116, 144, 20, 12),
        line((136, 150), (152, 150)),
        line((126, 156), (126, 186)),
        circle(126, 192, 6),
        named("cap, breather free", (166, 26), (140, 34)),
        named("half full", (204, 118), (214, level), red=True),
        named("tap opens and shuts", (164, 172), (150, 152)),
        named("no drip", (24, 190), (121, 190)),
    )
    return Drawing(
        "fuel",
        "The tank, half full",
        "A tank cut through, with fuel to half its height. The breather in its cap is free, the tap opens "
        "and shuts, and "
        "nothing drips from the pipe.",
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
        bend((106, 134), (210, 148), (300, 124)),
        box(167, 58, 4, 9, solid=True),
        named("road tread", (206, 26), polar(middle, 84, 50)),
        named("valve: set the pressure", (124, 226), polar(middle, 64, 165)),
        measure((236, 90), (236, 130), red=True),
        label("chain’s play", (212, 168), red=True),
    )
    return Drawing(
        "tyre",
        "Rear tyre and chain",
        "The rear wheel with a road tread, without stones in it. The pressure is set at the valve, and "
        "the chain has its "
        "play on the lower run.",
        236,
        marks,
    )


def _straps() -> Drawing:
    corners = [((222, 66), (296, 18)), ((222, 134), (296, 182)), ((118, 90), (46, 34)), ((118, 110), (46, 166))]
    marks = joined(
        machine.from_above(),
        [line(*ends, red=True) for ends in corners],
        [circle(*anchor, 5, red=True) for _, anchor in corners],
        box(24, 4, 288, 192, round_by=4),
        named("lower yoke", (160, 40), (224, 68)),
        named("frame", (84, 68), (114, 92)),
        named("ring in the floor", (96, 222), (48, 168)),
    )
    return Drawing(
        "straps",
        "Four straps on a trailer, from above",
        "The machine on a trailer, from above. Two straps run from the lower yoke forwards and outwards "
        "to rings in the "
        "floor, two from the frame backwards and outwards.",
        232,
        marks,
    )


def _rollers() -> Drawing:
    floor = 190.0
    marks = joined(
        machine.strapped_machine(),
        line((4, floor), (44, floor)),
        line((100, floor), (316, floor)),
        circle(50, floor + 22, 20),
        circle(94, floor + 22, 20),
        turning((50, floor + 22), 11, 60, -120),
        line((222, 66), (300, floor), red=True),
        line((96, 92), (20, floor), red=True),
        line((216, 188), (216, 166), (222, 160)),
        line((284, 188), (284, 166), (278, 160)),
        named("fork half down", (196, 24), (230, 84)),
        named("strap", (8, 78), (62, 138), red=True),
        named("rollers", (128, 232), (112, 216)),
        named("chock", (222, 232), (284, 178)),
    )
    return Drawing(
        "rollers",
        "On the rollers",
        "The machine strapped down. Its rear wheel sits in the dip between two rollers in the floor, the "
        "front wheel in a chock. "
        "Straps from the fork and the frame pull it down, the fork halfway through its travel.",
        242,
        marks,
    )


DRAWINGS = (_bring(), _fuel(), _tyre(), _straps(), _rollers())
