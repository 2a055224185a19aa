"""PDFs waiting to be made."""

from jobs.models.book import Paper


def waiting() -> list[Paper]:
    rows = Paper.objects.filter(made_at=None).select_related("invoice__visit__owner", "invoice__visit__machine")
    return list(rows.order_by("wanted_at")[:50])
