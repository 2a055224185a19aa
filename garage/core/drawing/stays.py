"""Lays out the threads of a day: minutes to pixels, adjacent stops of a machine merged, and their labels.

Each bar says whose it is: the machine where its thread begins, its number at each further place and at its end.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from garage.core.drawing.sheet import WAITING, DaySheet, Label, Stop, Thread
from garage.core.drawing.text_width import shortened, text_px

LEFT, RIGHT = 150, 1240  # pixels: x of the first and the last minute
LETTER_PX = 13
GAP_PX, BEND_PX = 9, 14  # between neighbours on one lane; the run-in of a crossing
LABEL_MOST_PX = 320
UPPER_PX = 15  # from the words of the work up to the machine's, where both would not fit side by side
END_GAP_PX, END_MOST_PX = 5, 46  # from the end of a thread to its number; five figures fit, and the paper ends after it


@dataclass(frozen=True, slots=True)
class Stay:
    """Adjacent stops of one machine on one track, with their labels. left and right bound everything, with the distance
    that it keeps. y of a label: above the row of the work, if below 0.
    """

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
        is_last = index + 1 == len(groups)
        until = max(s.end for s in group) if is_last else groups[index + 1][0].begin
        labels = _stay_labels(thread, group, scale, is_first=index == 0)
        if is_last and index:
            labels += _end_label(thread.number, scale.x(max(until, *(s.end for s in group))), labels)
        left, right = _bounds(group, until, scale, is_first=index == 0)
        marks = [scale.x(minute) for stop in group for minute in _was(stop)]
        left = min([left, *marks, *(label.x for label in labels)])
        right = max([right, *marks, *(label.x + label.width + GAP_PX for label in labels)])
        out.append(Stay(thread, group, tuple(labels), left, right))
    return out


def _was(stop: Stop) -> tuple[int, ...]:
    return () if stop.was is None else (stop.was,)


def _bounds(stops: Sequence[Stop], until: int, scale: Scale, is_first: bool) -> tuple[float, float]:
    """A bar may follow another at once, and the crossing to it lies below that one. Thin lines would look like one."""
    end = max([until, *(stop.end for stop in stops)])
    ends_with_a_bar = stops[-1].state != WAITING and stops[-1].end == end
    run_in = 0 if is_first or stops[0].state != WAITING else BEND_PX
    return scale.x(stops[0].begin) - run_in, scale.x(end) + (0 if ends_with_a_bar else GAP_PX)


def _stay_labels(thread: Thread, stops: Sequence[Stop], scale: Scale, is_first: bool) -> list[Label]:
    """The work at each bar, side by side above the line. Where the thread begins the machine stands before it, or above
    it if the work would have to make room.
    """
    texts = [(scale.x(stop.begin) + 1, words, "what") for stop, words in _worded(thread.number, stops, is_first)]
    if not is_first:
        return _side_by_side(texts)
    who = (scale.x(stops[0].begin), f"{thread.label}: {thread.odds}" if thread.odds else thread.label, "who")
    alone = _side_by_side([who])
    if not texts or alone[0].x + alone[0].width + GAP_PX <= texts[0][0]:
        return _side_by_side([who, *texts])
    return [replace(alone[0], y=-UPPER_PX), *_side_by_side(texts)]


def _worded(number: str, stops: Sequence[Stop], is_first: bool) -> Iterator[tuple[Stop, str]]:
    """Each stop that has words. The first bar of a further place has the number, and so has a bar without words."""
    is_named = is_first
    for before, stop in zip((None, *stops), stops, strict=False):
        goes_on = before is not None and before.state != WAITING and before.end == stop.begin
        words = stop.words
        if stop.state != WAITING and not goes_on and (not is_named or not words):
            words = words if f"{words} ".startswith(f"{number} ") else f"{number} {words}".rstrip()
            is_named = True
        if words and not (is_first and words == number):
            yield stop, words


def _side_by_side(texts: Sequence[tuple[float, str, str]]) -> list[Label]:
    """Each at its x or as near as the one before and the edge of the paper let it."""
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


def _end_label(number: str, end: float, labels: Sequence[Label]) -> list[Label]:
    """The number behind the end of the thread, unless words of this place stand there already."""
    if any(label.x + label.width > end for label in labels):
        return []
    return [label_at(end + END_GAP_PX, 0, shortened(number, LETTER_PX, END_MOST_PX), "end", LETTER_PX)]


def label_at(x: float, y: float, text: str, kind: str, size_px: int) -> Label:
    return Label(x, y, text, kind, size_px, text_px(text, size_px))


def label_beside(x: float, y: float, text: str, kind: str) -> Label:
    """Text to the right of a mark, or to its left at the edge of the paper."""
    width = text_px(text, LETTER_PX)
    return label_at(x + 8 if x + 8 + width <= RIGHT else x - 8 - width, y, text, kind, LETTER_PX)
