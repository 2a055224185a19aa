"""Draws the day as threads: the position of every line, bar and label of the day sheet.

Time runs across. Each track is a band. Each machine is one thread that runs along its band and crosses over when the
machine moves. A thin line is waiting, a black bar is work done, a pale bar is planned work, a broken line is a machine
that may well fail its gate, an arrow is a promise, an upright with dots is where moved work stood in the plan that
people work to, and the one coloured line is now. Inside a band every stay gets a lane and as much width as its bar or
its labels need, whichever is longer, so labels never overlap on a full day.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import fields, replace
from itertools import pairwise
from typing import Any, TypeVar

from garage.core.drawing.sheet import (
    DONE,
    PLANNED,
    RUNNING,
    WAITING,
    Bar,
    Curve,
    DaySheet,
    Drawing,
    Label,
    Ruled,
    Stop,
    Thread,
    described,
    in_words,
)
from garage.core.drawing.stays import (
    BEND_PX,
    GAP_PX,
    LEFT,
    LETTER_PX,
    RIGHT,
    Scale,
    Stay,
    label_at,
    label_beside,
    stays_of,
)
from garage.core.drawing.text_width import shortened, text_px
from garage.core.time.day_minutes import hhmm

WIDTH, NAMES_X = 1260, 12
HOURS_Y, NOW_Y, TOP_Y, FOOT_PX = 20, 38, 46, 8
HOUR_PX, NAME_PX = 14, 16
BAR_PX = 8  # less than the height of the labels' capitals
WORKED_PX, NAMED_PX, BARE_PX = 27, 19, 9  # height of a lane with bars, with labels on thin lines, with lines only
BAND_PX, RIM_PX = 46, 7  # minimum height of a band; its rim
WAS_PX = 7  # half the height of the mark where work stood in the plan
ROW_PX = 18  # a row of promises or of the words below a break

Mark = TypeVar("Mark", Ruled, Bar, Label)


def draw(sheet: DaySheet) -> Drawing:
    """The whole drawing with its coordinates, rounded to a tenth of a pixel.

    >>> stops = (Stop("In the yard", 510, 525), Stop("Rollers", 540, 630, "done", "41 set-up"))
    >>> tracks = ("In the yard", "Rollers", "Collected")
    >>> drawing = draw(DaySheet("Wednesday", tracks, (Thread("41", "41 Corrick 185", stops),)))
    >>> [(bar.kind, bar.height) for bar in drawing.bars], [one.text for one in drawing.labels if one.kind == "what"]
    ([('done', 8)], ['41 set-up'])
    """
    board = _Board(sheet)
    for track in sheet.tracks:
        board.band(track)
    board.frame()
    for thread in sheet.threads:
        board.thread(thread)
    return Drawing(
        title=sheet.title,
        description=described(sheet),
        width=WIDTH,
        height=round(board.y + FOOT_PX),
        rules=tuple(_rounded(rule) for rule in board.rules),
        rests=tuple(_rounded(rest) for rest in board.rests),
        curves=tuple(board.curves),
        bars=tuple(_rounded(bar) for bar in board.bars),
        labels=tuple(_rounded(label) for label in board.labels),
        lines=in_words(sheet),
    )


class _Board:
    """The drawing as it grows from top to bottom. y: where the next band begins."""

    def __init__(self, sheet: DaySheet) -> None:
        self.sheet, self.scale = sheet, Scale(sheet)
        self.stays = {thread.number: stays_of(thread, self.scale) for thread in sheet.threads}
        self.y = float(TOP_Y)
        self.stations_from = float(TOP_Y)
        self.lane_y: dict[tuple[str, int], float] = {}
        self.rules: list[Ruled] = []
        self.rests: list[Bar] = []
        self.curves: list[Curve] = []
        self.bars: list[Bar] = []
        self.labels: list[Label] = []

    def band(self, track: str) -> None:
        stations = self.sheet.tracks[1:-1]
        if track in stations[:1]:
            self.stations_from = self.y
        if track != self.sheet.tracks[0]:
            self.rules.append(Ruled(NAMES_X, self.y, RIGHT, self.y, "rim"))
        top = self.y
        mine = sorted((s for stays in self.stays.values() for s in stays if s.stops[0].track == track), key=_by_left)
        self.y += RIM_PX
        lanes = _lanes(mine)
        for lane in lanes:
            height, line_px, label_px = _lane_heights(lane)
            for stay in lane:
                self.lane_y[stay.key] = self.y + line_px
                self.labels += [replace(label, y=self.y + label_px) for label in stay.labels]
            if track in stations and lane is lanes[0]:
                self.rules.append(Ruled(LEFT, self.y + line_px, RIGHT, self.y + line_px, "track"))
            self.y += height
        self.y = max(self.y + RIM_PX, top + BAND_PX)
        middle = (top + self.y) / 2
        name = shortened(track, NAME_PX, LEFT - NAMES_X - GAP_PX)
        self.labels.append(label_at(NAMES_X, middle + NAME_PX / 3, name, "name", NAME_PX))
        if not lanes and track in stations:
            self.rules.append(Ruled(LEFT, middle, RIGHT, middle, "track"))
        self._promises(track)
        if track in stations[-1:]:
            self._rests()

    def frame(self) -> None:
        """The hour lines and the now line, from the first band to the foot."""
        foot, x = self.y, self.scale.x
        for minute in range(self.scale.since, self.scale.until + 1, 60):
            self.rules.append(Ruled(x(minute), TOP_Y - 10, x(minute), foot, "hour"))
            text = str(minute // 60)
            self.labels.append(label_at(x(minute) - text_px(text, HOUR_PX) / 2, HOURS_Y, text, "hour", HOUR_PX))
        if self.sheet.now is not None:
            at = x(self.sheet.now)
            self.rules.append(Ruled(at, NOW_Y - LETTER_PX, at, foot, "now"))
            self.labels.append(label_beside(at, NOW_Y - 2, f"now {hhmm(self.sheet.now)}", "now"))

    def thread(self, thread: Thread) -> None:
        stays, x = self.stays[thread.number], self.scale.x
        if not stays:
            return
        d = f"M{x(stays[0].stops[0].begin):.1f} {self.lane_y[stays[0].key]:.1f}"
        for here, there in pairwise(stays):
            y, to_y, to_x = self.lane_y[here.key], self.lane_y[there.key], x(there.stops[0].begin)
            bend_x = max(to_x - BEND_PX, x(here.stops[0].begin))
            middle = (bend_x + to_x) / 2
            d += f" L{bend_x:.1f} {y:.1f} C{middle:.1f} {y:.1f} {middle:.1f} {to_y:.1f} {to_x:.1f} {to_y:.1f}"
        last = stays[-1]
        d += f" L{max(x(stop.end) for stop in last.stops):.1f} {self.lane_y[last.key]:.1f}"
        self.curves.append(Curve(d, "doubt" if thread.odds else "thread"))
        for stay in stays:
            for stop in stay.stops:
                self.bars += _bars(stop, self.scale, self.lane_y[stay.key], self.sheet.now)
                self.curves += _was(stop, self.scale, self.lane_y[stay.key])

    def _promises(self, track: str) -> None:
        marks = sorted((p for p in self.sheet.promises if p.track == track), key=lambda p: (p.at, p.number))
        labels = [label_beside(self.scale.x(p.at), 0, f"{p.number} promised {hhmm(p.at)}", "mark") for p in marks]
        rows = _rows([(label.x - 14, label.x + label.width + 14) for label in labels])  # leaves room for the arrow
        for promise, label, row in zip(marks, labels, rows, strict=True):
            y = self.y + row * ROW_PX + 10
            self.labels.append(replace(label, y=y))
            self.curves.append(Curve(f"M{self.scale.x(promise.at):.1f} {y + 1:.1f} v-13 m-5 5 l5 -5 l5 5", "promise"))
        self.y += ROW_PX * (max(rows, default=-1) + 1)

    def _rests(self) -> None:
        """Breaks are pale columns across all stations, with their words below."""
        rests = sorted(set(self.sheet.rests), key=lambda r: (r.begin, r.end, r.words))
        labels, x = [], self.scale.x
        for begin, end in dict.fromkeys((r.begin, r.end) for r in rests):
            top = self.stations_from
            self.rests.append(Bar(x(begin), top, x(end) - x(begin), self.y - top, "rest"))
            text = ", ".join(r.words for r in rests if (r.begin, r.end) == (begin, end))
            width = text_px(text, LETTER_PX)
            left = min(max((x(begin) + x(end) - width) / 2, LEFT), RIGHT - width)
            labels.append(label_at(left, 0, text, "mark", LETTER_PX))
        rows = _rows([(label.x, label.x + label.width) for label in labels])
        self.labels += [replace(label, y=self.y + 13 + row * ROW_PX) for label, row in zip(labels, rows, strict=True)]
        self.y += ROW_PX * (max(rows, default=-1) + 1)


def _lanes(stays: Sequence[Stay]) -> list[list[Stay]]:
    """Puts each stay on the first lane that is free where it begins."""
    rows = _rows([(stay.left, stay.right) for stay in stays])
    return [
        [stay for stay, at in zip(stays, rows, strict=True) if at == row] for row in range(max(rows, default=-1) + 1)
    ]


def _lane_heights(lane: Sequence[Stay]) -> tuple[float, float, float]:
    """The height of a lane, of its line, and of the baselines of its labels."""
    if any(stop.state != WAITING for stay in lane for stop in stay.stops):
        return WORKED_PX, WORKED_PX - BAR_PX / 2 - 2, WORKED_PX - BAR_PX - 6
    if any(stay.labels for stay in lane):
        return NAMED_PX, NAMED_PX - 2, NAMED_PX - 6
    return BARE_PX, BARE_PX / 2, 0


def _rows(spans: Iterable[tuple[float, float]]) -> list[int]:
    """For each span, in order of left ends, the first row where it keeps its distance from its predecessor.

    >>> _rows([(0, 50), (20, 60), (70, 90)])
    [0, 1, 0]
    """
    ends: list[float] = []
    out = []
    for left, right in spans:
        row = next((n for n, end in enumerate(ends) if end + GAP_PX <= left), len(ends))
        ends[row:] = [right, *ends[row + 1 :]]
        out.append(row)
    return out


def _bars(stop: Stop, scale: Scale, y: float, now: int | None) -> list[Bar]:
    """A black bar for finished work, a pale one for planned work. Running work is black up to now."""
    if stop.state == WAITING:
        return []
    parts = [(stop.begin, stop.end, DONE if stop.state == DONE else PLANNED)]
    if stop.state == RUNNING:
        until = min(max(stop.begin if now is None else now, stop.begin), stop.end)
        parts = [(stop.begin, until, DONE), (until, stop.end, PLANNED)]
    return [
        Bar(scale.x(begin), y - BAR_PX / 2, scale.x(end) - scale.x(begin), BAR_PX, kind)
        for begin, end, kind in parts
        if end > begin
    ]


def _was(stop: Stop, scale: Scale, y: float) -> list[Curve]:
    """An upright where the work stood in the plan, and dots from there to where it begins."""
    if stop.was is None:
        return []
    at, begin = scale.x(stop.was), scale.x(stop.begin)
    return [
        Curve(f"M{at:.1f} {y - WAS_PX:.1f} v{2 * WAS_PX}", "was"),
        Curve(f"M{at:.1f} {y - WAS_PX:.1f} L{begin:.1f} {y - WAS_PX:.1f}", "slip"),
    ]


def _by_left(stay: Stay) -> float:
    return stay.left


def _rounded(mark: Mark) -> Mark:
    """The same mark with its numbers rounded to a tenth of a pixel."""
    numbers: dict[str, Any] = {
        f.name: round(v, 1) for f in fields(mark) if isinstance(v := getattr(mark, f.name), float)
    }
    return replace(mark, **numbers)
