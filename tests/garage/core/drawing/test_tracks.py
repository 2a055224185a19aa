"""The tracks of a day and its hours."""

import pytest

from garage.core.drawing.tracks import hours_of, station_names, tracks_of
from garage.core.planning.day_problem import DayProblem, Worker


def day(rollers: int = 1, benches: int = 2, *people: tuple[int, int]) -> DayProblem:
    workers = tuple(Worker(f"p{n}", begin, end) for n, (begin, end) in enumerate(people))
    return DayProblem("2027-03-10", 480, rollers, benches, workers, ())


def test_stations_are_numbered_but_for_the_only_rollers():
    assert tracks_of(day()) == ("In the yard", "Bench 1", "Bench 2", "Rollers", "Collected")
    assert tracks_of(day(2, 1)) == ("In the yard", "Bench 1", "Rollers 1", "Rollers 2", "Collected")
    assert station_names(day(2, 1))["roller", 2] == "Rollers 2"


@pytest.mark.parametrize(
    ("people", "hours"),
    [
        ([(485, 1025), (540, 1080)], (480, 1080)),
        ([(480, 1080)], (480, 1080)),
        ([(480, 1021)], (480, 1080)),
        ([(0, 0), (600, 900)], (600, 900)),  # somebody at work without hours
        ([(0, 0)], (480, 1020)),
        ([], (480, 1020)),
    ],
)
def test_the_hours_are_whole_ones_around_everybodys_day(people, hours):
    assert hours_of(day(1, 2, *people)) == hours
