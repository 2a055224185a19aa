"""Lays out the threads of a day: minutes to pixels, adjacent stops of a machine merged, and their labels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from garage.core.drawing.sheet import WAITING, DaySheet, Label, Stop, Thread
from garage.core.drawing.text_width import shortened, text_px

LEFT, RIGHT = 150, 1240  # pixels: x of the first and the last minute
LETTER_PX = 13
GAP_PX, BEND_PX = 9, 14  # between neighbours on one lane; the run-in of a crossing
LABEL_MOST_PX = 320


@dataclass(frozen=True, slots=True)
class Stay:
    """Adjacent stops of one machine on one track, with the labels above them. left and right bound everything."""

    thread: Thread
    stops: tuple[Stop, ...]
    labels: tuple[Label, ...]
    left: float
    right: float

    @property
    def key(self) -> tuple[str, int]:
        return self.thread.number, self.stops[0].begin


class Scale:
    """Minutes to pixels. Runs from a whole hour to a half hour, wider if something lies outside opening hours."""

    def __init__(self, sheet: DaySheet) -> None:
        stops = [stop for thread in sheet.threads for stop in thread.stops]
        times = [t for s in stops for t in (s.begin, s.end, *_was(s))] + [p.at for p in sheet.promises]
        times += [t for r in sheet.rests for t in (r.begin, r.end)] + ([] if sheet.now is None else [sheet.now])
        self.since = min([sheet.opens, *times]) // 60 * 60
        self.until = -(-max([sheet.closes, self.since + 60, *times]) // 30) * 30

    def x(self, minute: int) -> float:
        return LEFT + (minute - self.since) * (RIGHT - LEFT) / (self.until - self.since)


def stays_of(thread: Thread, scale: Scale) -> list[Stay]:
    stops = sorted(thread.stops, key=lambda s: (s.begin, s.end))
    groups = [tuple(group) for _, group in groupby(stops, key=lambda s: s.track)]
    out = []
    for index, group in enumerate(groups):
        until = groups[index + 1][0].begin if index + 1 < len(groups) else max(s.end for s in group)
        labels = _stay_labels(thread, group, scale, is_first=index == 0)
        marks = [scale.x(minute) for stop in group for minute in _was(stop)]
        left = min([scale.x(group[0].begin) - (BEND_PX if index else 0), *marks, *(label.x for label in labels)])
        right = max(
            [scale.x(max([until, *(s.end for s in group)])), *marks, *(label.x + label.width for label in labels)]
        )
        out.append(Stay(thread, group, tuple(labels), left, right))
    return out


def _was(stop: Stop) -> tuple[int, ...]:
    return () if stop.was is None else (stop.was,)


def _stay_labels(thread: Thread, stops: Sequence[Stop], scale: Scale, is_first: bool) -> list[Label]:
    """The machine where the thread begins and the work at each bar, side by side above the line."""
    who = f"{thread.label}: {thread.odds}" if thread.odds else thread.label
    texts = [(scale.x(stops[0].begin), who, "who")] if is_first else []
    for before, stop in zip((None, *stops), stops, strict=False):
        goes_on = before is not None and before.state != WAITING and before.end == stop.begin
        words = stop.words or (thread.number if stop.state != WAITING and not goes_on else "")
        if words and not (is_first and words == thread.number):
            texts.append((scale.x(stop.begin) + 1, words, "what"))
    if not texts:
        return []
    most = min(LABEL_MOST_PX, (RIGHT - LEFT) / len(texts) - GAP_PX)
    out: list[Label] = []
    for x, text, kind in texts:
        after = out[-1].x + out[-1].width + GAP_PX if out else LEFT
        out.append(label_at(max(x, after), 0, shortened(text, LETTER_PX, most), kind, LETTER_PX))
    limit = float(RIGHT)
    for index in range(len(out) - 1, -1, -1):
        out[index] = replace(out[index], x=min(out[index].x, limit - out[index].width))
        limit = out[index].x - GAP_PX
    return out


def label_at(x: float, y: float, text: str, kind: str, size_px: int) -> Label:
    return Label(x, y, text, kind, size_px, text_px(text, size_px))


def label_beside(x: float, y: float, text: str, kind: str) -> Label:
    """Text to the right of a mark, or to its left at the edge of the paper."""
    width = text_px(text, LETTER_PX)
    return label_at(x + 8 if x + 8 + width <= RIGHT else x - 8 - width, y, text, kind, LETTER_PX)
