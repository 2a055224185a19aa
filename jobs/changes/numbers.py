"""The numbers of papers: each series goes on by one, without gaps or doubles."""

from __future__ import annotations

from jobs.models.book import Series


def next_number(series: str) -> int:
    """Inside a change. The series' row stays locked until the transaction ends, so a failure gives the number back."""
    Series.objects.get_or_create(name=series)
    row = Series.objects.select_for_update().get(name=series)
    row.last += 1
    row.save(update_fields=["last"])
    return row.last
