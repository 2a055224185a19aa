import pytest

from garage.core.text.bench_words import bench_words


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        ((55, 20, 80), "55 bench minutes in the plan; likely 20 to 80"),
        ((55, None, None), "55 bench minutes in the plan"),
        ((15, 15, 15), "15 bench minutes in the plan"),
        ((90, 20, 80), "90 bench minutes in the plan"),  # brought up to date since the spread was found
        ((10, 20, 80), "10 bench minutes in the plan"),
    ],
)
def test_the_spread_is_told_where_the_planned_minutes_lie_in_it(minutes, words):
    assert bench_words(*minutes) == words
