"""The tracks of a day's drawing, named as the workshop says them, and the hours that it shows at least."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from garage.core.drawing.day_story import COLLECTED, YARD
from garage.core.planning.day_problem import BENCH, ROLLER, DayProblem

USUAL_DAY = (8 * 60, 17 * 60)  # minutes, of a day on which nobody works. Common practice, no source


def station_names(problem: DayProblem) -> dict[tuple[str, int], str]:
    """The name of each station by kind and number, in drawing order.

    >>> station_names(DayProblem("2027-03-10", 480, 1, 2, (), ()))
    {('bench', 1): 'Bench 1', ('bench', 2): 'Bench 2', ('roller', 1): 'Rollers'}
    """
    names = {(BENCH, n): f"Bench {n}" for n in range(1, problem.benches + 1)}
    rollers = range(1, problem.rollers + 1)
    return names | {(ROLLER, n): "Rollers" if problem.rollers == 1 else f"Rollers {n}" for n in rollers}


def track_at(names: Mapping[tuple[str, int], str], at: str, station: int | None) -> str:
    """Where work was done. A station that the garage has no more keeps its name; work without one is at the first.

    names: as station_names gives them.

    >>> track_at({}, "bench", 3), track_at({("roller", 1): "Rollers"}, "roller", None)
    ('Bench 3', 'Rollers')
    """
    if station is None:
        return next((name for (kind, _), name in names.items() if kind == at), "Rollers" if at == ROLLER else "Bench 1")
    return names.get((at, station), f"{'Rollers' if at == ROLLER else 'Bench'} {station}")


def tracks_of(problem: DayProblem, used: Iterable[str] = ()) -> tuple[str, ...]:
    """From top to bottom: the yard, the stations, those that are no more and were used, what was collected."""
    stations = dict.fromkeys([*station_names(problem).values(), *sorted({*used} - {YARD, COLLECTED})])
    return YARD, *stations, COLLECTED


def hours_of(problem: DayProblem) -> tuple[int, int]:
    """Whole hours around the people's day, in minutes."""
    begins, ends = [p.begin for p in problem.people if p.end], [p.end for p in problem.people if p.end]
    if not begins:
        return USUAL_DAY
    return min(begins) // 60 * 60, -(-max(ends) // 60) * 60
