"""The chain of the book on the real tables: what somebody with the database in hand changes is found."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from importlib import import_module

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from jobs.changes import chain, forgetting, invoices
from jobs.core.documents.chain import FIRST
from jobs.models.book import Invoice, InvoiceLine, Paper, Series
from jobs.models.chain import BookCheck, ChainLink
from jobs.tasks import check_the_book
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db
fill = import_module("jobs.migrations.0021_chain_of_what_stands")


@pytest.fixture
def book():
    """Four invoices."""
    by = garage.boss()
    return [issued(by) for _ in range(4)]


def issued(by):
    card = jobs.closed_card(by=by)
    jobs.part(card)
    jobs.part(card, words="Gasket", price_each=Decimal("3.33"), quantity=Decimal("1.5"))
    return invoices.issue(card.visit, by=by, now=timezone.now())


def without_triggers():
    """As somebody does who may do anything with the database."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            for table in ("jobs_invoice", "jobs_invoiceline", "jobs_chainlink"):
                cursor.execute(f"ALTER TABLE {table} DISABLE TRIGGER USER")
        else:
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name LIKE 'jobs_%'")
            for (name,) in cursor.fetchall():
                cursor.execute(f'DROP TRIGGER "{name}"')


def said(now=None):
    return chain.look_through(series=invoices.INVOICES, now=now or timezone.now()).faults


def test_each_document_is_linked_to_the_one_before_and_the_whole_book_is_well(book):
    links = list(ChainLink.objects.order_by("pk"))
    assert [link.invoice for link in links] == book
    assert [link.previous for link in links] == [FIRST, *(link.value for link in links[:-1])]
    assert len({link.salt for link in links}) == 4
    assert said() == []
    check = BookCheck.objects.get()
    assert (check.documents, check.last_value, check.fault_count) == (4, links[-1].value, 0)


def test_an_edit_is_found(book):
    without_triggers()
    Invoice.objects.filter(pk=book[1].pk).update(gross=Decimal("1.00"))
    InvoiceLine.objects.filter(invoice=book[2], index=2).update(words="Nothing")
    assert said() == ["Document 2 is not what was issued.", "Document 3 is not what was issued."]


def test_two_that_change_their_numbers_are_found(book):
    without_triggers()
    for invoice, number in ((book[1], 99), (book[2], 2), (book[1], 3)):
        Invoice.objects.filter(pk=invoice.pk).update(number=number)
    assert set(said()) >= {"Document 2 is not what was issued.", "Document 3 is not what was issued."}


@pytest.mark.parametrize("number", [1, 2, 4])
def test_a_drop_is_found(book, number):
    without_triggers()
    gone = book[number - 1]
    for model in (ChainLink, Paper, InvoiceLine):
        model.objects.filter(invoice=gone)._raw_delete("default")
    Invoice.objects.filter(pk=gone.pk)._raw_delete("default")
    assert said() == [f"Document {number} is missing."]


def test_the_last_look_is_kept_and_a_well_book_clears_it(book):
    Series.objects.update(last=9)
    assert said() == ["Documents 5 to 9 are missing."]
    Series.objects.update(last=4)
    assert said() == []
    assert BookCheck.objects.get().fault_count == 0


def test_the_database_refuses_to_change_or_drop_a_link(book):
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        ChainLink.objects.filter(invoice=book[0]).update(value="0")
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        ChainLink.objects.filter(invoice=book[0]).update(salt="")
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        ChainLink.objects.filter(invoice=book[0])._raw_delete("default")


def test_words_that_went_by_the_law_leave_the_chain_whole_and_their_salt_goes_too(book):
    later = timezone.now() + timedelta(days=8 * 365)
    forgetting.forget_old(now=later)
    assert not ChainLink.objects.exclude(salt="").exists()
    assert said(later) == []
    assert said()[0] == "Document 1 has lost its words before their time."


def test_what_the_release_before_issued_is_linked_by_the_migration(book):
    before = ChainLink.objects.count()
    without_triggers()
    ChainLink.objects.all()._raw_delete("default")
    fill.link_all(apps, connection.schema_editor())
    assert ChainLink.objects.count() == before
    assert said() == []


def test_what_the_release_before_issued_meanwhile_is_linked_with_the_next_one(book):
    without_triggers()
    ChainLink.objects.filter(invoice__in=book[2:])._raw_delete("default")
    assert said() == ["Document 3 is no part of the chain.", "Document 4 is no part of the chain."]
    issued(garage.boss())
    assert said() == []


def test_what_is_found_is_told_to_the_boss_until_the_book_is_well_again(book, client, settings, tmp_path):
    settings.DATA, settings.BACKUPS = tmp_path, tmp_path / "backups"
    client.force_login(garage.boss())
    Series.objects.update(last=6)
    check_the_book()
    assert (
        "The book is not as it was issued. Documents 5 to 6 are missing."
        in client.get("/needs-mending/").content.decode()
    )
    Series.objects.update(last=4)
    check_the_book()
    assert "The book is not" not in client.get("/needs-mending/").content.decode()


def test_the_command_says_how_the_book_is(book, capsys):
    call_command("check_book")
    said = capsys.readouterr().out
    assert "as it was issued: 4 documents" in said
    assert ChainLink.objects.last().value in said
    Series.objects.update(last=5)
    with pytest.raises(CommandError, match=r"Document 5 is missing\."):
        call_command("check_book")
