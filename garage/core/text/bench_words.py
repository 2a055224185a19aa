"""The minutes of bench work in words: what the plan takes, and how they spread."""

from __future__ import annotations


def bench_words(planned_min: int, low_min: int | None, high_min: int | None) -> str:
    """low_min, high_min: by then one machine in ten, and nine in ten, are put right. None where that is not known, or
    was found before the plan's minutes were brought up to date.

    >>> bench_words(55, 20, 80)
    '55 bench minutes in the plan; likely 20 to 80'
    >>> bench_words(55, None, None)
    '55 bench minutes in the plan'
    """
    planned = f"{planned_min} bench minutes in the plan"
    if low_min is None or high_min is None or not low_min <= planned_min <= high_min:
        return planned
    return planned if low_min == high_min else f"{planned}; likely {low_min} to {high_min}"
