"""How often an email is tried, and how long between two tries."""

from datetime import timedelta

MOST_TRIES = 8  # then a person has to look; common practice, no source
WAITS = tuple(timedelta(minutes=minutes) for minutes in (1, 5, 15, 60, 180, 360, 720))  # common practice, no source


def wait_after(tries: int) -> timedelta:
    """Until the next try, after so many: one at least. It grows up to twelve hours."""
    return WAITS[min(tries, len(WAITS)) - 1]
