"""A day of the workshop to be drawn, its drawing with all coordinates, and the same day in words.

Times are minutes from local midnight, lengths are pixels of the drawing's viewBox. The list says every mark of the
drawing in words: phones and screen readers get the list.
"""

from __future__ import annotations

from dataclasses import dataclass

from garage.core.time.day_minutes import hhmm

DONE, RUNNING, PLANNED, WAITING = "done", "running", "planned", "waiting"
SAID = {DONE: "done", RUNNING: "under way", PLANNED: "planned", WAITING: ""}


@dataclass(frozen=True, slots=True)
class Stop:
    """One stay of a machine on a track. state: waiting, planned, running or done. was: the minute at which it begins in
    the plan that people work to, where that is another.
    """

    track: str
    begin: int
    end: int
    state: str = WAITING
    words: str = ""
    was: int | None = None


@dataclass(frozen=True, slots=True)
class Thread:
    """number: the visit's number as spoken. odds: of a machine that may well fail its gate, how many pass, in words."""

    number: str
    label: str
    stops: tuple[Stop, ...]
    odds: str = ""


@dataclass(frozen=True, slots=True)
class Promise:
    number: str
    track: str
    at: int


@dataclass(frozen=True, slots=True)
class Rest:
    begin: int
    end: int
    words: str = "dinner"


@dataclass(frozen=True, slots=True)
class DaySheet:
    """A day to be drawn. tracks: from top to bottom, the first and the last are places, the others stations."""

    title: str
    tracks: tuple[str, ...]
    threads: tuple[Thread, ...]
    promises: tuple[Promise, ...] = ()
    rests: tuple[Rest, ...] = ()
    now: int | None = None
    opens: int = 480
    closes: int = 1050


@dataclass(frozen=True, slots=True)
class Label:
    """kind: hour, name, who, what, mark or now. x: left edge. y: baseline. width: an upper bound."""

    x: float
    y: float
    text: str
    kind: str
    size_px: int
    width: float


@dataclass(frozen=True, slots=True)
class Ruled:
    """A straight line. kind: hour, track, rim or now."""

    x1: float
    y1: float
    x2: float
    y2: float
    kind: str


@dataclass(frozen=True, slots=True)
class Bar:
    """kind: done, running, planned or rest."""

    x: float
    y: float
    width: float
    height: float
    kind: str


@dataclass(frozen=True, slots=True)
class Curve:
    """A path. kind: thread, doubt, promise, was or slip."""

    d: str
    kind: str


@dataclass(frozen=True, slots=True)
class DayLine:
    """One event of the day in words. is_over: it has ended by now."""

    minute: int
    clock: str
    text: str
    is_over: bool = False


@dataclass(frozen=True, slots=True)
class DayDrawing:
    title: str
    description: str
    width: int
    height: int
    rules: tuple[Ruled, ...]
    rests: tuple[Bar, ...]
    curves: tuple[Curve, ...]
    bars: tuple[Bar, ...]
    labels: tuple[Label, ...]
    lines: tuple[DayLine, ...]


def in_words(sheet: DaySheet) -> tuple[DayLine, ...]:
    """Everything the drawing shows, in order of time.

    >>> day = DaySheet("Wednesday", ("In the yard", "Rollers"), (), (Promise("41", "Rollers", 540),), now=530)
    >>> [f"{line.clock} {line.text}" for line in in_words(day)]
    ['08:50 Now.', '09:00 41 is promised the rollers.']
    """
    now = sheet.now
    lines = [line for thread in sheet.threads for line in _thread_lines(thread, now)]
    lines += [(p.at, 1, f"{p.number} is promised the rollers.", False) for p in sheet.promises]
    for rest in dict.fromkeys(sheet.rests):
        lines.append((rest.begin, 3, f"{_sentence(rest.words)} until {hhmm(rest.end)}.", _is_over(rest.end, now)))
    if now is not None:
        lines.append((now, 0, "Now.", False))
    return tuple(DayLine(minute, hhmm(minute), text, is_over) for minute, _, text, is_over in sorted(lines))


def _is_over(end: int, now: int | None) -> bool:
    return now is not None and end <= now


def described(sheet: DaySheet) -> str:
    """One sentence for people who cannot see the drawing. The list has the details."""
    machines, tracks = len(sheet.threads), len(sheet.tracks)
    return (
        f"{machines} {'machine' if machines == 1 else 'machines'} as threads over {tracks} tracks from left to right: "
        f"{', '.join(sheet.tracks)}. Everything in it is in the list of the day too."
    )


def _thread_lines(thread: Thread, now: int | None) -> list[tuple[int, int, str, bool]]:
    """Minute, rank within it, words, and whether it is over by now."""
    out = []
    for index, stop in enumerate(sorted(thread.stops, key=lambda s: (s.begin, s.end))):
        said, words = SAID[stop.state], stop.words
        if words.startswith(thread.number + " "):
            words = words[len(thread.number) + 1 :]
        who = thread.label if index == 0 else thread.number
        doubt = f" It may well fail its gate: {thread.odds}." if index == 0 and thread.odds else ""
        what = ", ".join(part for part in (stop.track.lower(), words, said) if part)
        span = f"until {hhmm(stop.end)}" if stop.end > stop.begin else ""
        is_over = stop.state == DONE or _is_over(stop.end, now)
        out.append((stop.begin, 2, f"{who}: {what}{', ' if span else ''}{span}.{doubt}", is_over))
    return out


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]
