"""Makes the zero of running text on paper: `python -m tests.jobs.papers.running_zero`.

Atkinson Hyperlegible Next has one zero, with a stroke through it: right in a table, restless in a sentence. Here its
own outline is kept and the stroke left out. It stays narrower than an O.
"""

from __future__ import annotations

import io
from pathlib import Path

from fontTools.misc.transform import Transform
from fontTools.pens.recordingPen import RecordingPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

FONTS = Path(__file__).resolve().parents[3] / "static" / "vendor" / "atkinson"
WEIGHTS = (400, 700)
FAMILY = "Running Zero"  # a modified font has a name of its own, as the licence wants of reserved names
# Pango takes a space from the font of what stands before it, and does not look whether it is there.
ITS_OWN = (ord("0"), ord(" "), 0xA0, 0x2009)
NAMES = {1: FAMILY, 3: FAMILY, 4: FAMILY, 6: FAMILY.replace(" ", ""), 16: FAMILY}  # OpenType 1.9, name table


def made(weight: int) -> bytes:
    """WOFF2 with the one glyph, the same bytes each time."""
    font = TTFont(FONTS / f"atkinson-hyperlegible-next-latin-{weight}-normal.woff2", recalcTimestamp=False)
    options = Options(layout_features=[], notdef_outline=True, hinting=False)
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=ITS_OWN)
    subsetter.subset(font)
    _leave_the_stroke_out(font)
    for name in font["name"].names:
        if name.nameID in NAMES:
            name.string = NAMES[name.nameID]
    font.flavor = "woff2"
    into = io.BytesIO()
    font.save(into, reorderTables=False)
    return into.getvalue()


def stored(weight: int) -> Path:
    return FONTS / f"running-zero-{weight}.woff2"


def _leave_the_stroke_out(font: TTFont) -> None:
    """The counter is the outline itself, as wide and high as the two halves that the stroke has left of it."""
    drawn = RecordingPen()
    font.getGlyphSet()["zero"].draw(drawn)
    contours = _contours(drawn)
    outline, halves = contours[0], contours[1:]
    left, bottom, right, top = _box(outline)
    boxes = [_box(half) for half in halves]
    inner = (
        *map(min, zip(*[box[:2] for box in boxes], strict=True)),
        *map(max, zip(*[box[2:] for box in boxes], strict=True)),
    )
    across, up = (inner[2] - inner[0]) / (right - left), (inner[3] - inner[1]) / (top - bottom)
    to_inner = Transform(across, 0, 0, up, inner[0] - left * across, inner[1] - bottom * up)
    pen = TTGlyphPen(None)
    _replay(outline, pen)
    _replay(_turned(outline), TransformPen(pen, to_inner))
    font["glyf"]["zero"] = pen.glyph()


def _contours(drawn: RecordingPen) -> list[list[tuple[str, tuple]]]:
    contours: list[list[tuple[str, tuple]]] = []
    for step in drawn.value:
        if step[0] == "moveTo":
            contours.append([])
        contours[-1].append(step)
    return contours


def _box(contour: list[tuple[str, tuple]]) -> tuple[float, float, float, float]:
    points = [point for _, given in contour for point in given]
    across, up = zip(*points, strict=True)
    return min(across), min(up), max(across), max(up)


def _turned(contour: list[tuple[str, tuple]]) -> list[tuple[str, tuple]]:
    """The same the other way round, so that it is a hole (TrueType fills by the winding number)."""
    points = [point for _, given in contour for point in given]
    back = points[::-1]
    steps, at = [("moveTo", (back[0],))], 1
    for _, given in reversed([step for step in contour if step[0] == "qCurveTo"]):
        steps.append(("qCurveTo", tuple(back[at : at + len(given)])))
        at += len(given)
    return [*steps, ("closePath", ())]


def _replay(contour: list[tuple[str, tuple]], pen: TTGlyphPen | TransformPen) -> None:
    for what, given in contour:
        getattr(pen, what)(*given)


if __name__ == "__main__":
    for weight in WEIGHTS:
        stored(weight).write_bytes(made(weight))
