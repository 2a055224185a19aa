"""What lies on one track stands on the first lane or row that is free."""

import pytest

from garage.core.drawing.lanes import lanes_of, rows
from garage.core.drawing.sheet import DaySheet, Stop, Thread
from garage.core.drawing.stays import Scale, stays_of

SCALE = Scale(DaySheet("A day", (), ()))


def heights(*stops: Stop, label: str = "") -> list[tuple[float, float, float]]:
    """Height, line and base of each lane of the last place."""
    *_, last = stays_of(Thread("41", label, stops), SCALE)
    return [(lane.height, lane.line, lane.base) for lane in lanes_of([last])]


def test_a_lane_is_as_high_as_what_stands_on_it():
    yard, bar = Stop("Yard", 480, 500), Stop("Bench 1", 600, 900, "planned", "look")
    assert heights(Stop("Yard", 600, 700), label="41 CX") == [(19, 17, 13)]
    assert heights(yard, Stop("Bench 1", 600, 700)) == [(14, 7, 0)]
    assert heights(yard, bar) == [(28, 21, 13)]
    assert heights(bar, label="41 CX") == [(42, 36, 28)]


def test_spans_that_keep_the_distance_share_a_row_and_no_others():
    assert rows([(0, 50), (59, 80), (58, 90)]) == [0, 0, 1]
    assert rows([(0, 50), (50, 80)], gap_px=0) == [0, 0]
    assert rows([]) == []


@pytest.mark.parametrize("count", [0, 1, 3])
def test_each_machine_in_the_same_minutes_has_a_lane(count):
    threads = [Thread(str(n), str(n), (Stop("Bench 1", 540, 600, "planned"),)) for n in range(count)]
    assert len(lanes_of(stay for thread in threads for stay in stays_of(thread, SCALE))) == count
