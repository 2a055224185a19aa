from __future__ import annotations

import pytest

from diagnostics.core.bench.booked import booked_min


@pytest.mark.parametrize(("expected_min", "booked"), [(0.0, 15), (15.0, 15), (15.1, 20), (40.0, 40), (40.2, 45)])
def test_the_bench_is_booked_for_what_it_should_take_in_steps_of_five_minutes(expected_min: float, booked: int) -> None:
    """A quarter of an hour at least: bringing the machine in and a first look."""
    assert booked_min(expected_min) == booked
