"""The pen that the guides are drawn with: one width of line, one ink, one red; parts named at the ends of thin leaders.

A drawing is 320 units wide, so that its letters can be read on the narrowest phone. It has no ground: the page's paper
shows through, on a screen and in print. x runs to the right and y downwards, both in units.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from html import escape

from garage.core.text.languages import in_figures, told

INK, RED = "#1d1b18", "#b3361b"  # the house's look: black ink, one red
WIDTH = 320  # units
LINE, LEADER = 2, 0.9  # units: the line of every part; leaders, hatching and measures
LETTERS = 14  # units, the height of letters: 12 px on a phone 320 px wide
LETTER_WIDTH = 0.6  # of the height, the mean of a wide typeface; what room for words is judged by
CHEVRON = 6  # units, the head of an arrow

Point = tuple[float, float]


@dataclass(frozen=True)
class Mark:
    """One stroke of the pen, or one label. svg holds {words} where the label's words go; at, anchor: of a label.

    text, figures: of a label, its English and the numbers that stand in it by name. part, red: where its leader ends.
    """

    svg: str
    text: str = ""
    figures: tuple[tuple[str, str], ...] = ()
    at: Point = (0, 0)
    anchor: str = "start"
    part: Point | None = None
    red: bool = False

    @property
    def words(self) -> str:
        """In the language in force. What is only a figure is in no catalogue, and is written as figures are there."""
        found = told(self.text, **{name: in_figures(figure) for name, figure in self.figures})
        return in_figures(found) if found == self.text else found

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Of a label: left, top, right and bottom of the room that its words take at most."""
        width = len(self.words) * LETTERS * LETTER_WIDTH
        left = self.at[0] - {"start": 0, "middle": width / 2, "end": width}[self.anchor]
        return left, self.at[1] - 0.8 * LETTERS, left + width, self.at[1] + 0.25 * LETTERS

    def drawn(self) -> str:
        """A label's leader begins where its words end, in each language."""
        if not self.text:
            return self.svg
        leader = [] if self.part is None else [_leader(self.box, self.at, self.anchor, self.part, self.red)]
        return "\n".join([*leader, self.svg.format(words=escape(self.words))])


@dataclass(frozen=True)
class Drawing:
    """name: of the file, letters and _ only. title: what it is. tells: what it shows, for who cannot see it; whole
    sentences; both in English. height: units.
    """

    name: str
    title: str
    tells: str
    height: int
    marks: tuple[Mark, ...]

    @property
    def labels(self) -> tuple[Mark, ...]:
        return tuple(mark for mark in self.marks if mark.text)

    def svg(self) -> str:
        """The file's text, its title, description and labels in the language in force."""
        lines = [mark.drawn() for mark in self.marks]
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {self.height}" width="{WIDTH}" '
            f'height="{self.height}" role="img" aria-labelledby="title tells" fill="none" stroke="{INK}" '
            f'stroke-width="{LINE}" stroke-linecap="round" stroke-linejoin="round" font-size="{LETTERS}" '
            'font-family="system-ui, sans-serif">'
        )
        said = [
            f'<title id="title">{escape(told(self.title))}</title>',
            f'<desc id="tells">{escape(told(self.tells))}</desc>',
        ]
        return "\n".join([head, *said, *lines, "</svg>", ""])


def line(*points: Point, red: bool = False, dashed: bool = False, thin: bool = False) -> Mark:
    """From point to point."""
    return Mark(f'<path d="{_path(points)}"{_style(red, dashed, thin)}/>')


def shape(*points: Point, red: bool = False, solid: bool = False, thin: bool = False) -> Mark:
    """A closed outline; solid: filled with its own colour."""
    return Mark(f'<path d="{_path(points)}Z"{_style(red, False, thin)}{_filled(red, solid)}/>')


def box(
    x: float, y: float, width: float, height: float, *, round_by: float = 0, red: bool = False, solid: bool = False
) -> Mark:
    """A rectangle from its upper left corner."""
    corner = f' rx="{_n(round_by)}"' if round_by else ""
    size = f'x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}"'
    return Mark(f"<rect {size}{corner}{_style(red, False, False)}{_filled(red, solid)}/>")


def circle(
    x: float, y: float, r: float, *, red: bool = False, dashed: bool = False, solid: bool = False, thin: bool = False
) -> Mark:
    return Mark(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(r)}"{_style(red, dashed, thin)}{_filled(red, solid)}/>')


def bend(start: Point, by: Point, end: Point, *, red: bool = False, dashed: bool = False, thin: bool = False) -> Mark:
    """A curve from start to end that is drawn towards `by` (a quadratic Bézier curve)."""
    way = f"M{_at(start)}Q{_at(by)} {_at(end)}"
    return Mark(f'<path d="{way}"{_style(red, dashed, thin)}/>')


def polar(middle: Point, r: float, deg: float) -> Point:
    """The point at r from the middle; deg is clockwise from straight up, as a flywheel's marks are read."""
    turn = math.radians(deg)
    return middle[0] + r * math.sin(turn), middle[1] - r * math.cos(turn)


def arc(
    middle: Point,
    r: float,
    from_deg: float,
    to_deg: float,
    *,
    red: bool = False,
    dashed: bool = False,
    thin: bool = False,
) -> Mark:
    """Part of a circle, clockwise from from_deg to to_deg; both clockwise from straight up."""
    large = int((to_deg - from_deg) % 360 > 180)
    way = f"M{_at(polar(middle, r, from_deg))}A{_n(r)} {_n(r)} 0 {large} 1 {_at(polar(middle, r, to_deg))}"
    return Mark(f'<path d="{way}"{_style(red, dashed, thin)}/>')


def turning(middle: Point, r: float, from_deg: float, to_deg: float, *, red: bool = False) -> tuple[Mark, ...]:
    """An arc with a head at its end: which way it turns. Anticlockwise if to_deg is less than from_deg."""
    forth = to_deg > from_deg
    low, high = sorted((from_deg, to_deg))
    end, along = polar(middle, r, to_deg), to_deg + (90 if forth else -90)
    return arc(middle, r, low, high, red=red, thin=True), _head(end, along, red)


def arrow(start: Point, end: Point, *, red: bool = False) -> tuple[Mark, ...]:
    """A thin line with a head at its end."""
    along = math.degrees(math.atan2(end[0] - start[0], start[1] - end[1]))
    return line(start, end, red=red, thin=True), _head(end, along, red)


def measure(start: Point, end: Point, *, red: bool = False) -> tuple[Mark, ...]:
    """A thin line with a head at both ends: from here to there."""
    return (*arrow(start, end, red=red), arrow(end, start, red=red)[1])


def label(
    text: str, at: Point, *, anchor: str = "start", red: bool = False, bold: bool = False, **figures: str
) -> Mark:
    """Words on one line, in English; figures stand in them as {name}. at: their foot, at the start, the middle or the
    end as `anchor` says.
    """
    colour, weight = RED if red else INK, ' font-weight="700"' if bold else ""
    place = f'x="{_n(at[0])}" y="{_n(at[1])}"'
    svg = f'<text {place} text-anchor="{anchor}" fill="{colour}" stroke="none"{weight}>{{words}}</text>'
    return Mark(svg, text, tuple(figures.items()), at, anchor)


def labelled(text: str, at: Point, part: Point, *, anchor: str = "start", red: bool = False, **figures: str) -> Mark:
    """A part's name, and a thin leader from it to the part, which it touches with a dot."""
    return replace(label(text, at, anchor=anchor, red=red, bold=False, **figures), part=part, red=red)


def _leader(words: tuple[float, float, float, float], at: Point, anchor: str, part: Point, red: bool) -> str:
    """words: the room that they take."""
    left, _, right, _ = words
    if abs(part[1] - (at[1] - LETTERS / 3)) < LETTERS:
        start = (right + 2 if part[0] > (left + right) / 2 else left - 4, at[1] - LETTERS / 3)
    else:
        inside = {"start": left + 8, "middle": at[0], "end": right - 8}[anchor]
        start = (inside, at[1] - LETTERS if part[1] < at[1] else at[1] + 5)
    dot = f'<circle cx="{_n(part[0])}" cy="{_n(part[1])}" r="2" fill="{RED if red else INK}" stroke="none"/>'
    return line(start, part, red=red, thin=True).svg + "\n" + dot


def hatched(left: float, top: float, right: float, bottom: float, step: float = 7) -> tuple[Mark, ...]:
    """Thin slanting lines over a rectangle: metal that is cut through."""
    marks = []
    reach, height = right - left, bottom - top
    place = step
    while place < reach + height:
        start = (left + place, top) if place <= reach else (right, top + place - reach)
        end = (left, top + place) if place <= height else (left + place - height, bottom)
        marks.append(line(start, end, thin=True))
        place += step
    return tuple(marks)


def trace(points: Iterable[Point], *, red: bool = False, dashed: bool = False) -> Mark:
    """A curve through many points."""
    return line(*points, red=red, dashed=dashed)


def joined(*parts: Mark | Iterable[Mark]) -> tuple[Mark, ...]:
    """Marks and groups of marks, in the order in which they are drawn."""
    return tuple(mark for part in parts for mark in ((part,) if isinstance(part, Mark) else part))


def _head(tip: Point, along_deg: float, red: bool) -> Mark:
    sides = [polar(tip, CHEVRON, along_deg + 180 + turn) for turn in (-25, 25)]
    return line(sides[0], tip, sides[1], red=red)


def _path(points: Sequence[Point]) -> str:
    return "M" + "L".join(_at(point) for point in points)


def _at(point: Point) -> str:
    return f"{_n(point[0])} {_n(point[1])}"


def _n(number: float) -> str:
    """Two decimals at most, so that a file is the same on every machine."""
    return f"{round(number, 2) + 0.0:g}"


def _style(red: bool, dashed: bool, thin: bool) -> str:
    colour = f' stroke="{RED}"' if red else ""
    width = f' stroke-width="{LEADER}"' if thin else ""
    return colour + width + (' stroke-dasharray="5 4"' if dashed else "")


def _filled(red: bool, solid: bool) -> str:
    return f' fill="{RED if red else INK}"' if solid else ""
