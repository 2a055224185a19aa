"""All papers of a period in one file."""

from __future__ import annotations

import csv
import io
import zipfile
from datetime import timedelta
from hashlib import sha256

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.changes import invoices
from jobs.core.documents.chain import FIRST
from jobs.models.chain import ChainLink
from jobs.papers.invoice import invoice_pdf
from jobs.reads.papers import waiting
from jobs.tasks import make
from jobs.views import book
from tests.factories import garage, jobs
from tests.official_rules import CII, UBL, broken_rules

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    garage.shop()
    client.force_login(garage.front_desk())
    return client


def issued(count):
    by = garage.boss()
    for _ in range(count):
        card = jobs.closed_card(by=by)
        jobs.part(card)
        invoices.issue(card.visit, by=by, now=timezone.now())


def archive(desk, first=None, last=None):
    today = timezone.now().date()
    first, last = first or today - timedelta(days=2), last or today + timedelta(days=2)
    return desk.get(reverse("book-archive"), {"first": first, "last": last})


def content(answer):
    return b"".join(answer.streaming_content)


def test_a_period_is_one_file_of_papers_and_valid_xml_with_the_chain(desk):
    issued(2)
    make(waiting()[0], now=timezone.now())  # one is kept, the other still waits
    answer = archive(desk)
    assert answer["Content-Disposition"].startswith('attachment; filename="book-')
    file = zipfile.ZipFile(io.BytesIO(content(answer)))
    names = [
        f"{kind}/invoice-{number}.{end}"
        for number in (1, 2)
        for kind, end in (("pdf", "pdf"), ("cii", "xml"), ("ubl", "xml"))
    ]
    assert file.namelist() == [*names, "chain.csv"]
    assert broken_rules(file.read("cii/invoice-2.xml"), CII) == broken_rules(file.read("ubl/invoice-1.xml"), UBL) == []
    rows = list(csv.DictReader(io.StringIO(file.read("chain.csv").decode(), newline="")))
    links = list(ChainLink.objects.order_by("pk"))
    assert [(row["value before"], row["value"]) for row in rows] == [(link.previous, link.value) for link in links]
    assert rows[0]["value before"] == FIRST
    assert [row["total"] for row in rows] == ["4.50", "4.50"]
    assert rows[1]["SHA-256 of the PDF"] == sha256(file.read("pdf/invoice-2.pdf")).hexdigest()
    assert file.read("pdf/invoice-2.pdf") == invoice_pdf(links[1].invoice)


def test_the_same_period_gives_the_same_bytes(desk):
    issued(1)
    assert content(archive(desk)) == content(archive(desk))


def test_a_period_without_papers_or_with_too_many_is_told_and_no_file(desk, monkeypatch):
    issued(2)
    long_ago = timezone.now().date() - timedelta(days=900)
    assert "No paper then." in desk.get(archive(desk, long_ago, long_ago)["Location"]).content.decode()
    monkeypatch.setattr(book, "MOST_IN_A_FILE", 1)
    assert "choose a shorter period" in desk.get(archive(desk)["Location"]).content.decode()


def test_a_period_that_ends_before_it_begins_is_told_on_the_page(desk):
    today = timezone.now().date()
    answer = archive(desk, today, today - timedelta(days=1))
    assert answer.status_code == 422
    assert "before the first" in answer.content.decode()


def test_the_book_offers_the_file_for_the_period_that_it_shows(desk):
    issued(1)
    assert f"{reverse('book-archive')}?first=" in desk.get(reverse("the-book")).content.decode()
