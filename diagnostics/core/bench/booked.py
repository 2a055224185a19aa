"""How much bench time is booked for what the bench is expected to take."""

from garage.core.time.day_minutes import rounded_up_min

LEAST_MINUTES = 15  # bringing it in and a first look; common practice, no source


def booked_min(expected_min: float) -> int:
    """Rounded up to the planner's grid.

    >>> booked_min(3.0), booked_min(42.3)
    (15, 45)
    """
    return rounded_up_min(max(expected_min, LEAST_MINUTES))
