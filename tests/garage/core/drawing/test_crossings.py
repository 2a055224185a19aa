"""A crossing goes fourteen pixels before its place, or five, ten or fifteen earlier where another one stands."""

from garage.core.drawing.crossings import Leg, path_of


def crossings(*given: tuple[float, float, float, float]) -> list[float]:
    """Where each crossing reaches its new lane. given: from x and y to x and y, one thread each."""
    taken: list[tuple[float, float, float]] = []
    for begin_x, y, to_x, to_y in given:
        path_of([Leg(begin_x, y), Leg(to_x, to_y)], to_x + 50, taken)
    return [x for x, _, _ in taken]


def test_crossings_over_the_same_height_step_aside_one_after_the_other():
    assert crossings(*[(0, 10, 200, 90)] * 3) == [200, 195, 190]
    assert crossings((0, 10, 200, 90), (0, 90, 202, 10)) == [200, 192]
    assert crossings((0, 10, 200, 90), (0, 10, 204, 90)) == [200, 204]


def test_crossings_at_different_heights_may_stand_above_one_another():
    assert crossings((0, 10, 200, 50), (0, 50, 200, 90)) == [200, 200]


def test_a_fifth_crossing_at_one_minute_lies_on_the_first():
    assert crossings(*[(0, 10, 200, 90)] * 5) == [200, 195, 190, 185, 200]


def test_no_crossing_steps_aside_before_its_thread_began():
    assert crossings((0, 10, 200, 90), (197, 10, 200, 90), (193, 10, 200, 90)) == [200, 200, 195]


def test_a_thread_that_stepped_aside_runs_on_to_its_place():
    path = path_of([Leg(0, 10), Leg(100, 50)], 150, [(100, 0, 90)])
    assert path == "M0.0 10.0 L81.0 10.0 C88.0 10.0 88.0 50.0 95.0 50.0 L150.0 50.0"
