"""A small motorcycle seen from its right and from above, as several guides show it."""

from __future__ import annotations

from diagnostics.core.guides.pen import Mark, arc, bend, box, circle, joined, line, shape

REAR, FRONT, WHEEL, HUB = (72, 144), (250, 150), 40, 6  # units: middles and radii of wheels and hubs


def machine() -> tuple[Mark, ...]:
    """On its centre stand, whose foot is at y 190."""
    return joined(_wheels(REAR[1]), _frame(), _engine(), line((136, 156), (120, 190)), line((112, 190), (130, 190)))


def strapped_machine() -> tuple[Mark, ...]:
    """On both wheels, which stand at y 190."""
    return joined(_wheels(FRONT[1]), _frame(), _engine())


def _wheels(rear_y: float) -> tuple[Mark, ...]:
    return joined(_wheel(REAR[0], rear_y), _wheel(*FRONT))


def _wheel(x: float, y: float) -> tuple[Mark, ...]:
    return circle(x, y, WHEEL), circle(x, y, WHEEL - 9), circle(x, y, HUB)


def _frame() -> tuple[Mark, ...]:
    return joined(
        line((250, 150), (224, 66)),  # fork
        line((222, 58), (206, 54)),  # handlebar
        line((224, 66), (218, 52)),
        circle(236, 78, 8),  # lamp
        bend((214, 106), (248, 92), (286, 128)),  # front guard
        shape((216, 72), (206, 68), (176, 70), (160, 84), (162, 92), (214, 88)),  # tank
        shape((160, 84), (110, 80), (84, 74), (78, 80), (104, 92), (160, 92)),  # seat
        line((218, 90), (190, 156), (128, 156), (108, 92)),  # cradle
        line((128, 156), (72, 144)),  # swinging arm
        line((96, 90), (82, 136)),  # spring leg
        bend((34, 126), (48, 92), (96, 92)),  # rear guard
    )


def _engine() -> tuple[Mark, ...]:
    fins = [line((158, 97 + step), (186, 93 + step)) for step in (0, 6, 12, 18)]
    return joined(
        circle(168, 140, 15),
        line((162, 126), (140, 130)),
        arc((141, 140), 10, 180, 360),
        line((140, 150), (162, 154)),
        circle(141, 140, 4),
        fins,
        line((164, 96), (166, 125)),
        line((180, 94), (178, 128)),
        line((172, 94), (171, 88)),
        bend((180, 112), (212, 170), (168, 166)),  # pipe
        line((168, 166), (110, 162)),
        shape((110, 166), (44, 148), (46, 138), (112, 156)),
    )


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
