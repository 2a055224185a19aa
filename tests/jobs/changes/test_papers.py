"""The paper of an invoice: stored once, mailed with it, and its failure shown."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from garage.models.actors import SYSTEM
from garage.models.messages import Message
from jobs.changes import invoices, papers
from jobs.models.book import Paper
from tests.factories import garage, jobs
from tests.sentences import check_noted

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.7 the paper"
DIGEST = "2383c6f9d99ebee4e7001e0473e9d45ff0020a1d03aaf0f595dcaaf1b195f1c0"  # as sha256sum says it


@pytest.fixture
def paper() -> Paper:
    card = jobs.closed_card()
    jobs.part(card, price_each=Decimal("12.00"))
    return invoices.issue(card.visit, by=garage.boss(), now=timezone.now()).paper


def test_a_paper_is_stored_noted_and_mailed_with_what_is_left_to_pay(paper):
    invoice, now = paper.invoice, timezone.now() + timedelta(minutes=1)
    papers.failed(paper, why="No room.")
    papers.made(paper, PDF, name="invoice-1.pdf", now=now)
    paper.refresh_from_db()
    assert (paper.made_at, paper.trouble, paper.sha256) == (now, "", DIGEST)
    with paper.file.open() as file:
        assert file.read() == PDF
    assert "invoice-1" in paper.file.name
    said = f"made the paper of invoice {invoice.number}"
    check_noted(said, by=SYSTEM, at=now, visit=invoice.visit, invoice=invoice.number)
    message = Message.objects.get(what="invoice_issued")
    assert (message.to, message.visit, message.written_at) == (invoice.visit.owner.email, invoice.visit, now)
    assert message.subject == f"Invoice {invoice.number} for your Corrick 185"
    assert "To pay: £12.00." in message.text
    enclosed = message.enclosures.get()
    assert (enclosed.name, enclosed.content_type) == ("invoice-1.pdf", "application/pdf")
    assert bytes(enclosed.content) == PDF


def test_a_paper_made_twice_is_stored_and_mailed_once(paper):
    now = timezone.now()
    for content in (PDF, b"another"):
        papers.made(paper, content, name="invoice-1.pdf", now=now)
    paper.refresh_from_db()
    assert paper.sha256 == DIGEST
    assert Message.objects.filter(what="invoice_issued").count() == 1


def test_a_failure_is_shown_until_the_paper_is_made(paper):
    papers.failed(paper, why="x" * 301)
    paper.refresh_from_db()
    assert (paper.trouble, paper.made_at) == ("x" * 300, None)
    papers.made(paper, PDF, name="invoice-1.pdf", now=timezone.now())
    papers.failed(paper, why="Too late.")
    paper.refresh_from_db()
    assert paper.trouble == ""
