"""Papers: those waiting to be made, and what is kept of those that are."""

from __future__ import annotations

from jobs.models.book import Invoice, Paper


def waiting() -> list[Paper]:
    names = ("invoice__visit__owner", "invoice__visit__machine", "invoice__link")
    rows = Paper.objects.filter(made_at=None).select_related(*names)
    return list(rows.order_by("wanted_at")[:50])


def kept_paper(invoice: Invoice) -> bytes | None:
    """The PDF as it was made and mailed. None if it is not made yet or its file is lost."""
    paper: Paper | None = getattr(invoice, "paper", None)
    if not (paper and paper.made_at and paper.file.name and paper.file.storage.exists(paper.file.name)):
        return None
    with paper.file.open() as file:
        content: bytes = file.read()
        return content
