"""Job card and invoice beside the typesetter alone. Run in a garage by tests/bench/papers.py."""

from __future__ import annotations

import io
import json
import statistics
import time
from collections.abc import Callable
from datetime import UTC
from pathlib import Path
from unittest import mock

from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader
from weasyprint import HTML

from garage.models.people import Person
from garage.output.file_inside import FileInside
from garage.output.pdf import pdf, pdf_to_keep
from jobs.changes import invoices
from jobs.models.book import Invoice
from jobs.papers.invoice import invoice_pdf
from tests.factories import garage, jobs

TIMES, PARTS = 9, 20
STATIC = Path(__file__).parents[2] / "static"
Make = Callable[[], bytes]


def _alone(html: str) -> bytes:
    made: bytes = HTML(string=html.replace("/static/", f"{STATIC.as_uri()}/")).write_pdf()
    return made


def _html_of(called: str, make: Make) -> str:
    """The final HTML that goes to the typesetter."""
    with mock.patch(called, return_value=b"") as typesetter:
        make()
    html: str = typesetter.call_args.args[0]
    return html


def _measured(paper: str, ours: Make, html: str, same: Callable[[str], bytes]) -> dict[str, object]:
    ways = {"ours_s": ours, "alone_s": lambda: _alone(html), "same_s": lambda: same(html)}
    pages = {len(PdfReader(io.BytesIO(make())).pages) for make in ways.values()}
    assert len(pages) == 1, (paper, pages)
    took: dict[str, list[float]] = {way: [] for way in ways}
    for _ in range(TIMES):
        for way, make in ways.items():
            began = time.process_time()
            make()
            took[way].append(time.process_time() - began)
    return {"paper": paper, "pages": pages.pop()} | {way: statistics.median(each) for way, each in took.items()}


def _closed() -> Invoice:
    by = garage.boss()
    card = jobs.closed_card()
    garage.shop(vat_number="GB980780684")
    for nth in range(PARTS):
        jobs.part(card, words=f"Main jet {80 + nth}")
    return invoices.issue(card.visit, by=by, now=timezone.now())


def main() -> None:
    invoice = _closed()
    client = Client(headers={"host": "127.0.0.1"})
    client.force_login(Person.objects.get(role=Person.BOSS))
    address = reverse("card-pdf", args=[invoice.visit.number])

    def card() -> bytes:
        answer = client.get(address)
        assert answer.status_code == 200, answer.status_code
        return answer.content

    def ours() -> bytes:
        return invoice_pdf(Invoice.objects.select_related("link").get(pk=invoice.pk))

    at = invoice.issued_at.astimezone(UTC)
    inside = FileInside(name="bare.xml", content=b"<bare/>", description="bare", at=at, metadata="")
    papers = [
        _measured("job card", card, _html_of("jobs.views.card.pdf", card), pdf),
        _measured(
            "invoice",
            ours,
            _html_of("jobs.papers.invoice.pdf_to_keep", ours),
            lambda html: pdf_to_keep(html, inside),
        ),
    ]
    print(json.dumps({"times": TIMES, "papers": papers}))  # noqa: T201
