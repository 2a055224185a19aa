"""The numbers of papers: each series goes on by one, without gaps or doubles."""

from __future__ import annotations

from jobs.models.book import Series


def next_number(name: str) -> int:
    """Inside a change. The series' row stays locked until the transaction ends, so a failure gives the number back."""
    locked = Series.objects.select_for_update().filter(name=name)
    series = locked.first()
    if series is None:  # the very first
        Series.objects.get_or_create(name=name)
        series = locked.get()
    series.last += 1
    series.save(update_fields=["last"])
    return series.last
