import hashlib
from datetime import time, timedelta

import pytest
from django.utils import timezone

from garage.models.messages import Message
from jobs import tasks
from jobs.changes import invoices, papers, runs
from jobs.models.book import Paper
from jobs.models.runs import RunFile
from jobs.reads.papers import waiting
from tests.factories import garage, jobs
from tests.factories.runs import power_file

pytestmark = pytest.mark.django_db


def issued():
    card = jobs.closed_card()
    jobs.part(card)
    return invoices.issue(card.visit, by=garage.boss(), now=timezone.now())


def kept(paper):
    with paper.file.open() as file:
        return file.read()


def test_a_wanted_paper_is_made_kept_and_mailed():
    invoice = issued()
    tasks.make_papers()
    paper = Paper.objects.get(invoice=invoice)
    content = kept(paper)
    assert content.startswith(b"%PDF")
    assert hashlib.sha256(content).hexdigest() == paper.sha256
    message = Message.objects.get(what="invoice_issued")
    assert message.to == invoice.visit.owner.email
    assert f"Invoice {invoice.number}" in message.text
    assert "To pay: £4.50." in message.text
    assert [row.name for row in message.enclosures.all()] == [f"invoice-{invoice.number}.pdf"]


def test_made_twice_it_is_mailed_once():
    paper = Paper.objects.get(invoice=issued())
    papers.made(paper, b"%PDF-1.7 one", name="invoice-1.pdf", now=timezone.now())
    papers.made(paper, b"%PDF-1.7 two", name="invoice-1.pdf", now=timezone.now())
    tasks.make_papers()
    assert Message.objects.filter(what="invoice_issued").count() == 1
    assert kept(Paper.objects.get()) == b"%PDF-1.7 one"


def test_a_paper_that_fails_says_so_and_holds_up_no_other(settings):
    first, second = issued(), issued()
    papers.failed(Paper.objects.get(invoice=first), why="the disk is full")
    assert [paper.invoice for paper in waiting()] == [first, second]
    tasks.make_papers()
    assert list(Paper.objects.values_list("trouble", flat=True)) == ["", ""]


def test_a_paper_that_cannot_be_written_waits_with_its_reason_and_is_made_later(settings, tmp_path):
    blocked = tmp_path / "a-file"
    blocked.write_text("no folder can be made under a file")
    made_in = settings.MEDIA_ROOT
    issued()
    settings.MEDIA_ROOT = blocked
    tasks.make_papers()
    paper = Paper.objects.get()
    assert paper.made_at is None
    assert paper.trouble
    assert not Message.objects.filter(what="invoice_issued").exists()
    settings.MEDIA_ROOT = made_in
    tasks.make_papers()
    assert Paper.objects.get().made_at is not None


def test_the_sweep_of_reminders_needs_a_shop_and_reminds():
    tasks.remind_owners()
    assert not Message.objects.exists()
    noon = timezone.now().replace(hour=12, minute=0)
    garage.shop(zone="UTC", quiet_from=time(0), quiet_until=time(0))
    garage.visit(starts_at=noon + timedelta(days=2))
    tasks.remind_owners()
    assert {message.what for message in Message.objects.all()} <= {"sheet_reminder", "sheet_last_reminder"}
    assert Message.objects.count() == 1


def test_a_file_that_never_was_a_run_is_forgotten_by_the_sweep():
    visit = jobs.card().visit
    by, long_ago = visit.card.opened_by, timezone.now() - timedelta(days=2)
    file = runs.send(visit, name="pull.csv", content=power_file(), by=by, now=long_ago)
    tasks.forget_run_files()
    assert not RunFile.objects.filter(pk=file.pk).exists()
