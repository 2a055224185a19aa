"""Drawings of what is heard in a rev-out: the parts of a sound's picture, the beat, and the top."""

from __future__ import annotations

import math

from diagnostics.core.guides.pen import Drawing, Mark, circle, joined, label, labelled, line, measure, trace
from garage.core.text.languages import told_later

LEFT, RIGHT = 8, 312  # units
TURNS = 24
ON_PAPER_RPM, PASSED_RPM, LIMIT_RPM, CEILING_RPM, RICH_RPM = 8800, 9400, 8900, 6500, 8300  # rpm, of the taught sounds
BEATS = (
    (told_later("Clean: every turn"), "#" * TURNS),
    (told_later("Rich: every second, lumpy"), "#.#.#.#.##.#.#.#..#.#.##"),
    (told_later("Very rich: every fourth"), "#..." * 6),
    (told_later("Breaking down: no beat at all"), "######....#...#######....."[:TURNS]),
)


def _picture() -> Drawing:
    ground = 150
    climb = [(96 + step * 4, ground - 14 - 72 * (1 - math.cos(math.pi * step / 16)) / 2) for step in range(17)]
    jitter = [(160 + step * 6, 64 + (4 if step % 2 else -3) + (step % 3) * 3) for step in range(1, 15)]
    marks = joined(
        line((LEFT, ground), (RIGHT, ground)),
        line((LEFT, 40), (RIGHT, 40), dashed=True),
        trace([(LEFT, ground - 14), (96, ground - 14), *climb, *jitter, (RIGHT, 112)]),
        *(
            line((start, ground - 4), (end, ground - 4), red=True)
            for start, end in ((166, 180), (190, 198), (208, 236))
        ),
        measure((96, 24), (246, 24)),
        label("throttle open", (171, 16), anchor="middle"),
        label("rpm on paper", (LEFT, 57)),
        labelled("speed", (20, 96), (112, 126)),
        labelled("no firing", (242, 134), (233, ground - 5), red=True),
        line((180, ground), (180, 164), (LEFT, 184), thin=True),
        line((190, ground), (190, 164), (RIGHT, 184), thin=True),
        _dots("####....#..#######..#..."[:TURNS], 196),
        label("24 turns: full fires, hollow doesn’t", (160, 222), anchor="middle"),
    )
    return Drawing(
        "picture",
        "How to read the picture of a sound",
        told_later(
            "A curve of engine speed over time. Above it a measure shows how long the throttle is open, and a broken "
            "line the speed on paper. Red strokes on the ground line mark where no firing is. Below, 24 turns of the "
            "crank are drawn apart as dots, full where the engine fires and hollow where it does not."
        ),
        230,
        marks,
    )


def _dots(turns: str, y: float) -> tuple[Mark, ...]:
    step = (RIGHT - LEFT) / TURNS
    return tuple(circle(LEFT + (i + 0.5) * step, y, 4, solid=turn == "#", thin=True) for i, turn in enumerate(turns))


def _beats() -> Drawing:
    marks: list[Mark] = []
    for row, (words, turns) in enumerate(BEATS):
        fails = row == len(BEATS) - 1
        top = 4 + 54 * row
        marks.append(label(words, (LEFT, top + 12), red=fails))
        marks.append(line((LEFT, top + 44), (RIGHT, top + 44), thin=True))
        step = (RIGHT - LEFT) / TURNS
        for index, turn in enumerate(turns):
            x = LEFT + (index + 0.5) * step
            marks.append(line((x, top + 44), (x, top + (22 if turn == "#" else 41)), red=fails, thin=turn != "#"))
    return Drawing(
        "beats",
        "The beat of four engines over 24 turns",
        told_later(
            "Four rows of strokes, one for each turn of the crank, tall where the engine fires. Clean: all are tall. "
            "Rich: about every second one. Very rich: every fourth one. Breaking down, in red: runs of tall ones and "
            "gaps, no two alike."
        ),
        4 + 54 * len(BEATS),
        tuple(marks),
    )


def _tops() -> Drawing:
    ground, high = 224, 12

    def y(rpm: float) -> float:
        return ground - (ground - high) * (rpm - 1000) / 8500

    def climb(to_rpm: float, over: float) -> list[tuple[float, float]]:
        return [
            (20 + step * over / 20, y(1500 + (to_rpm - 1500) * math.sin(math.pi * step / 40))) for step in range(21)
        ]

    teeth = [(104 + step * 5, y(LIMIT_RPM - (150 if step % 2 else 0))) for step in range(1, 19)]
    jitter = [(84 + step * 7, y(CEILING_RPM - (0, 350, 100, 500)[step % 4])) for step in range(1, 17)]
    marks = joined(
        line((LEFT, ground), (RIGHT, ground)),
        line((LEFT, y(ON_PAPER_RPM)), (100, y(ON_PAPER_RPM)), dashed=True, thin=True),
        trace([*climb(PASSED_RPM, 90), (196, y(PASSED_RPM))]),
        trace([*climb(LIMIT_RPM, 84), *teeth]),
        trace([*climb(RICH_RPM, 176)], dashed=True),
        trace([*climb(CEILING_RPM, 64), *jitter], red=True),
        label("clean", (204, y(PASSED_RPM) + 4)),
        label("limiter", (204, y(LIMIT_RPM) + 9)),
        label("very rich", (204, y(RICH_RPM) + 13)),
        label("false ceiling", (204, y(CEILING_RPM) + 12), red=True),
        label("on paper", (LEFT, y(ON_PAPER_RPM) - 5)),
    )
    return Drawing(
        "tops",
        "Where four engines stop climbing",
        told_later(
            "Four curves of engine speed with the throttle held open. Clean passes the speed on paper. A limiter "
            "makes small even teeth just at it. Very rich comes late and is still climbing. A false ceiling, in red, "
            "jitters far below it."
        ),
        232,
        marks,
    )


DRAWINGS = (_picture(), _beats(), _tops())
