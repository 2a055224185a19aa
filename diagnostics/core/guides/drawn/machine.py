"""A small motorcycle seen from its right, on its centre stand, as several guides show it."""

from __future__ import annotations

from diagnostics.core.guides.pen import Mark, arc, bend, box, circle, joined, line, shape

REAR, FRONT, WHEEL, HUB = (72, 144), (250, 150), 40, 6  # units: middles and radii of wheels and hubs


def machine(down: float = 0) -> tuple[Mark, ...]:
    """With its stand's foot at y 190. down: units by which all of it is lower."""
    return joined(
        _wheel(REAR[0], REAR[1] + down),
        _wheel(FRONT[0], FRONT[1] + down),
        _frame(down),
        _engine(down),
        _stand(down),
    )


def _wheel(x: float, y: float) -> tuple[Mark, ...]:
    return circle(x, y, WHEEL), circle(x, y, WHEEL - 9), circle(x, y, HUB)


def _frame(down: float) -> tuple[Mark, ...]:
    def at(x: float, y: float) -> tuple[float, float]:
        return x, y + down

    return joined(
        line(at(250, 150), at(224, 66)),  # fork
        line(at(222, 58), at(206, 54)),  # handlebar
        line(at(224, 66), at(218, 52)),
        circle(236, 78 + down, 8),  # lamp
        bend(at(214, 106), at(248, 92), at(286, 128)),  # front guard
        shape(at(216, 72), at(206, 68), at(176, 70), at(160, 84), at(162, 92), at(214, 88)),  # tank
        shape(at(160, 84), at(110, 80), at(84, 74), at(78, 80), at(104, 92), at(160, 92)),  # seat
        line(at(218, 90), at(190, 156), at(128, 156), at(108, 92)),  # cradle
        line(at(128, 156), at(72, 144)),  # swinging arm
        line(at(96, 90), at(82, 136)),  # spring leg
        bend(at(34, 126), at(48, 92), at(96, 92)),  # rear guard
    )


def _engine(down: float) -> tuple[Mark, ...]:
    fins = [line((158, 97 + step + down), (186, 93 + step + down)) for step in (0, 6, 12, 18)]
    return joined(
        circle(168, 140 + down, 15),
        line((162, 126 + down), (140, 130 + down)),
        arc((141, 140 + down), 10, 180, 360),
        line((140, 150 + down), (162, 154 + down)),
        circle(141, 140 + down, 4),
        fins,
        line((164, 96 + down), (166, 125 + down)),
        line((180, 94 + down), (178, 128 + down)),
        line((172, 94 + down), (171, 88 + down)),
        bend((180, 112 + down), (212, 170 + down), (168, 166 + down)),  # pipe
        line((168, 166 + down), (110, 162 + down)),
        shape((110, 166 + down), (44, 148 + down), (46, 138 + down), (112, 156 + down)),
    )


def _stand(down: float) -> tuple[Mark, ...]:
    return line((136, 156 + down), (120, 190 + down)), line((112, 190 + down), (130, 190 + down))


def from_above() -> tuple[Mark, ...]:
    """The same from above, its front to the right, its middle at y 100."""
    return joined(
        box(92, 94, 62, 12, round_by=6),
        box(248, 95, 54, 10, round_by=5),
        shape((112, 92), (160, 88), (160, 112), (112, 108)),  # seat
        shape((160, 88), (206, 84), (218, 100), (206, 116), (160, 112)),  # tank
        line((226, 62), (232, 74), (232, 126), (226, 138)),  # handlebar
        line((218, 100), (248, 100)),
        line((160, 86), (172, 80), (188, 84)),  # flywheel cover
        line((160, 114), (172, 120), (188, 116)),
    )
