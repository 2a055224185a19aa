"""Draws the day as threads: the position of every line, bar and label of the day sheet.

Time runs across. Each track is a band. Each machine is one thread that runs along its band and crosses over when the
machine moves. A thin line is waiting, a black bar is work done, a pale bar is planned work, a broken line is a machine
that may well fail its gate, an arrow is a promise, an upright with dots is where moved work stood in the plan that
people work to, and the one coloured line is now. Inside a band every stay gets a lane and as much width as its bar or
its labels need, whichever is longer, so labels never overlap on a full day. Each bar says whose it is, and so does the
end of each thread.
"""

from __future__ import annotations

from dataclasses import fields, replace
from itertools import pairwise
from typing import Any, TypeVar

from garage.core.drawing.crossings import Leg, path_of
from garage.core.drawing.lanes import BAR_PX, END_DROP_PX, Lane, lanes_of, rows
from garage.core.drawing.sheet import (
    DONE,
    PLANNED,
    RUNNING,
    WAITING,
    Bar,
    Curve,
    DayDrawing,
    DaySheet,
    Label,
    Ruled,
    Stop,
    Thread,
    described,
    in_words,
)
from garage.core.drawing.stays import (
    END_GAP_PX,
    END_MOST_PX,
    GAP_PX,
    LEFT,
    LETTER_PX,
    RIGHT,
    Scale,
    label_at,
    label_beside,
    stays_of,
)
from garage.core.drawing.text_width import shortened, text_px
from garage.core.time.day_minutes import hhmm

WIDTH, NAMES_X = RIGHT + END_GAP_PX + END_MOST_PX + 5, 12
HOURS_Y, NOW_Y, TOP_Y, FOOT_PX = 20, 38, 46, 8
HOUR_PX, NAME_PX = 14, 16
APART_PX = 2  # between the bars of two machines that follow one another at once
BAND_PX, RIM_PX = 46, 7  # minimum height of a band; its rim
WAS_PX = 7  # half the height of the mark where work stood in the plan
ROW_PX = 18  # a row of promises or of the words below a break

AnyMark = TypeVar("AnyMark", Ruled, Bar, Label)


def draw(sheet: DaySheet) -> DayDrawing:
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
    return DayDrawing(
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
        self.followed: set[tuple[str, int]] = set()
        self.crossings: list[tuple[float, float, float]] = []
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
        self.y += RIM_PX
        lanes = lanes_of(s for stays in self.stays.values() for s in stays if s.stops[0].track == track)
        for lane in lanes:
            self._lane(lane)
            if track in stations and lane is lanes[0]:
                self.rules.append(Ruled(LEFT, self.y + lane.line, RIGHT, self.y + lane.line, "track"))
            self.y += lane.height
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
        legs = [Leg(x(stay.stops[0].begin), self.lane_y[stay.key]) for stay in stays]
        d = path_of(legs, max(x(stop.end) for stop in stays[-1].stops), self.crossings)
        self.curves.append(Curve(d, "doubt" if thread.odds else "thread"))
        for stay in stays:
            y = self.lane_y[stay.key]
            bars = [bar for stop in stay.stops for bar in _bars(stop, self.scale, y, self.sheet.now)]
            if stay.key in self.followed and bars and bars[-1].width > 2 * APART_PX:
                bars[-1] = replace(bars[-1], width=bars[-1].width - APART_PX)
            self.bars += bars
            self.curves += [curve for stop in stay.stops for curve in _was(stop, self.scale, y)]

    def _lane(self, lane: Lane) -> None:
        """Notes where the lane's stays run and which of them another follows at once, and places their labels."""
        for stay in lane.stays:
            self.lane_y[stay.key] = self.y + lane.line
            for label in stay.labels:
                y = lane.line + END_DROP_PX if label.kind == "end" else lane.base + label.y
                self.labels.append(replace(label, y=self.y + y))
        self.followed |= {here.key for here, there in pairwise(lane.stays) if there.left - here.right < APART_PX}

    def _promises(self, track: str) -> None:
        marks = sorted((p for p in self.sheet.promises if p.track == track), key=lambda p: (p.at, p.number))
        labels = [label_beside(self.scale.x(p.at), 0, f"{p.number} promised {hhmm(p.at)}", "mark") for p in marks]
        at = rows([(label.x - 14, label.x + label.width + 14) for label in labels])  # leaves room for the arrow
        for promise, label, row in zip(marks, labels, at, strict=True):
            y = self.y + row * ROW_PX + 10
            self.labels.append(replace(label, y=y))
            self.curves.append(Curve(f"M{self.scale.x(promise.at):.1f} {y + 1:.1f} v-13 m-5 5 l5 -5 l5 5", "promise"))
        self.y += ROW_PX * (max(at, default=-1) + 1)

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
        at = rows([(label.x, label.x + label.width) for label in labels])
        self.labels += [replace(label, y=self.y + 13 + row * ROW_PX) for label, row in zip(labels, at, strict=True)]
        self.y += ROW_PX * (max(at, default=-1) + 1)


def _bars(stop: Stop, scale: Scale, y: float, now: int | None) -> list[Bar]:
    """A grey bar for finished work, a pale one for planned work. Running work is black up to now."""
    if stop.state == WAITING:
        return []
    parts = [(stop.begin, stop.end, DONE if stop.state == DONE else PLANNED)]
    if stop.state == RUNNING:
        until = min(max(stop.begin if now is None else now, stop.begin), stop.end)
        parts = [(stop.begin, until, RUNNING), (until, stop.end, PLANNED)]
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


def _rounded(mark: AnyMark) -> AnyMark:
    """The same mark with its numbers rounded to a tenth of a pixel."""
    numbers: dict[str, Any] = {
        f.name: round(v, 1) for f in fields(mark) if isinstance(v := getattr(mark, f.name), float)
    }
    return replace(mark, **numbers)
