"""Drawings of fuel flow: from the tap into a can, the cap's breather, the float's height, and what stands in a jar."""

from __future__ import annotations

from diagnostics.core.guides.pen import (
    Drawing,
    Mark,
    arrow,
    bend,
    box,
    circle,
    joined,
    label,
    labelled,
    line,
    measure,
    shape,
    turning,
)
from garage.core.text.languages import told_later

MILLILITRES_A_MINUTE = 200  # what runs from a tap that feeds enough; common practice, no source


def _flow() -> Drawing:
    marks = joined(
        shape((30, 14), (150, 14), (162, 34), (150, 60), (44, 60), (24, 34)),
        line((30, 40), (158, 40), thin=True),
        box(84, 60, 20, 16),
        line((104, 68), (118, 68)),
        line((90, 76), (90, 104)),
        line((98, 76), (98, 104)),
        line((94, 104), (94, 150), red=True),
        line((58, 126), (58, 206), (130, 206), (130, 126)),
        line((58, 170), (130, 170), thin=True),
        circle(230, 120, 34),
        line((230, 120), (230, 94)),
        line((230, 120), (246, 128)),
        turning((230, 120), 44, -40, 40, red=True),
        line((224, 84), (236, 84)),
        label("one minute", (230, 184), anchor="middle"),
        label("{ml} ml or more", (230, 200), anchor="middle", ml=f"{MILLILITRES_A_MINUTE}"),
        labelled("tap on, cap on", (180, 48), (118, 68)),
        labelled("metal can", (8, 228), (70, 206)),
    )
    return Drawing(
        "flow",
        "Flow from the tap into a can",
        told_later(
            "Petrol runs from the tank’s tap through its pipe into a metal can below. A watch beside it runs for one "
            "minute, in which at least 200 millilitres should come. Tap and cap are as for riding."
        ),
        236,
        marks,
    )


def _cap() -> Drawing:
    marks = joined(
        line((20, 100), (104, 100)),
        line((216, 100), (300, 100)),
        line((104, 100), (104, 116)),
        line((216, 100), (216, 116)),
        shape((90, 66), (230, 66), (230, 96), (90, 96)),
        line((160, 66), (160, 80), (176, 80), (176, 108), thin=True),
        *arrow((160, 34), (160, 62), red=True),
        bend((20, 142), (90, 134), (160, 142), thin=True),
        bend((160, 142), (230, 150), (300, 142), thin=True),
        line((20, 100), (20, 176)),
        line((300, 100), (300, 176)),
        label("air must come in", (172, 44), red=True),
        labelled("breather", (24, 40), (160, 74)),
        label("or petrol stops coming out", (160, 168), anchor="middle"),
    )
    return Drawing(
        "cap",
        "The breather in the tank’s cap",
        told_later(
            "A tank’s cap cut through. A narrow crooked passage lets air in from above, as a red arrow shows. Where "
            "it is blocked, a vacuum holds the petrol back."
        ),
        182,
        marks,
    )


def _float() -> Drawing:
    marks = joined(
        line((20, 60), (300, 60)),
        label("bowl’s face, upside down", (160, 84), anchor="middle"),
        line((60, 60), (60, 44)),
        line((60, 44), (122, 34)),
        circle(60, 40, 4),
        box(122, 16, 130, 30, round_by=6),
        line((92, 60), (92, 41)),
        shape((86, 52), (98, 52), (92, 42)),
        measure((276, 60), (276, 16), red=True),
        line((252, 16), (286, 16), red=True, thin=True),
        labelled("valve just shut,", (8, 116), (90, 50)),
        label("spring not pressed", (8, 132)),
        label("height by", (232, 116), red=True),
        label("the handbook", (212, 132), red=True),
    )
    return Drawing(
        "float",
        "Measuring the float’s height",
        told_later(
            "The carburettor upside down with its bowl off. The float lies on its valve, which is just shut with its "
            "spring not pressed in. The height from the face of the bowl to the far side of the float is the "
            "handbook’s figure."
        ),
        140,
        marks,
    )


def _jar(x: float, of: float) -> tuple[Mark, ...]:
    return joined(
        line((x, 24), (x, 120), (x + 70, 120), (x + 70, 24)),
        box(x - 4, 14, 78, 12),
        line((x, of), (x + 70, of)),
    )


def _jars() -> Drawing:
    specks = [(134, 108), (146, 112), (160, 106), (172, 113), (184, 109)]
    marks = joined(
        _jar(16, 46),
        _jar(124, 46),
        _jar(232, 46),
        *(circle(x, y, 2, solid=True) for x, y in specks),
        line((232, 96), (302, 96), red=True),
        labelled("water", (244, 164), (270, 108), red=True),
        labelled("dirt", (146, 164), (160, 106)),
        label("clear", (50, 164), anchor="middle"),
    )
    return Drawing(
        "jars",
        "What stands in the jar after ten minutes",
        told_later(
            "Three glass jars of petrol from the bowl. The first is clear. The second has dirt on its bottom. In the "
            "third a layer of water lies under the petrol, with a line between them."
        ),
        172,
        marks,
    )


DRAWINGS = (_cap(), _flow(), _jars(), _float())
