"""Tools that several guides show: the meter."""

from __future__ import annotations

from diagnostics.core.guides.pen import Mark, box, circle, joined, label, line


def meter(x: float, y: float, shows: str) -> tuple[Mark, ...]:
    """A multimeter from its upper left corner, 128 wide and 96 high; its sockets are at its sides, 22 below its top.

    shows: what stands in its window, seven letters at most.
    """
    return joined(
        box(x, y, 128, 96, round_by=8),
        box(x + 22, y + 10, 84, 28),
        label(shows, (x + 64, y + 29), anchor="middle", bold=True),
        circle(x + 64, y + 68, 18),
        line((x + 64, y + 68), (x + 64 + 9, y + 68 - 14)),
        circle(x + 12, y + 22, 4),
        circle(x + 116, y + 22, 4),
    )
