"""Turns what a visit did and will do on a day into the stretches of its thread. Minutes from local midnight."""

from __future__ import annotations

from dataclasses import dataclass

from garage.core.drawing.sheet import DONE, PLANNED, RUNNING, Stop, Thread

YARD, COLLECTED = "In the yard", "Collected"
SHORT_GAP_MIN = 10  # min; a machine is not wheeled into the yard for less. Common practice, no source
COLLECTED_MIN = 20  # min for which a thread is still drawn on the Collected track, so that it can be seen


@dataclass(frozen=True, slots=True)
class StationWork:
    """A stretch at a station. end: of running work, when it is expected to end. is_over, has_begun: as recorded.

    was: the minute at which it begins in the plan that people work to, where that is another.
    """

    track: str
    begin: int
    end: int
    words: str
    has_begun: bool = False
    is_over: bool = False
    was: int | None = None


@dataclass(frozen=True, slots=True)
class VisitOfDay:
    """here_from: arrival, or when expected. gone_at: when collected, or None. odds: of a machine that may well fail its
    gate, how many pass, in words.
    """

    number: str
    label: str
    here_from: int
    work: tuple[StationWork, ...]
    gone_at: int | None = None
    odds: str = ""


def machine_thread(visit: VisitOfDay, *, now: int | None, closes: int) -> Thread:
    """One thread: waiting in the yard, work at stations, collected. closes: where an unfinished thread ends.

    >>> v = VisitOfDay("41", "41 Corrick 185", 510, (StationWork("Bench 1", 525, 535, "gate"),))
    >>> [(s.track, s.begin, s.end, s.state) for s in machine_thread(v, now=None, closes=600).stops]
    [('In the yard', 510, 525, 'waiting'), ('Bench 1', 525, 535, 'planned'), ('In the yard', 535, 600, 'waiting')]
    """
    stops: list[Stop] = []
    at = min([visit.here_from, *(work.begin for work in visit.work)])
    for work in sorted(visit.work, key=lambda w: w.begin):
        gap = work.begin - at
        if gap > 0 and (not stops or gap >= SHORT_GAP_MIN):
            stops.append(Stop(YARD, at, work.begin, "waiting"))
        elif gap > 0:
            last = stops[-1]
            stops.append(Stop(last.track, last.end, work.begin, "waiting"))
        stops.append(_work_stop(work, now))
        at = max(at, work.end)
    end = visit.gone_at if visit.gone_at is not None else max(closes, at)
    if end > at:
        stops.append(Stop(YARD, at, end, "waiting"))
    if visit.gone_at is not None:
        stops.append(Stop(COLLECTED, max(at, visit.gone_at), max(at, visit.gone_at) + COLLECTED_MIN, "waiting"))
    return Thread(visit.number, visit.label, tuple(stops), odds=visit.odds)


def _work_stop(work: StationWork, now: int | None) -> Stop:
    end = max(work.end, work.begin + 1)
    is_running = work.has_begun and now is not None and work.begin < now < end
    state = DONE if work.is_over else RUNNING if is_running else PLANNED
    return Stop(work.track, work.begin, end, state, work.words, work.was)


def odds_words(ready: float) -> str:
    """How many machines of which as much is known pass their gate.

    >>> odds_words(0.62), odds_words(0.02)
    ('about 6 in 10 pass', 'hardly one in 10 passes')
    """
    in_ten = round(ready * 10)
    return f"about {in_ten} in 10 pass" if in_ten else "hardly one in 10 passes"
