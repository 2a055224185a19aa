"""The paper of an invoice: PDF/A-3 with the invoice for programs inside, a code to pay by, the same bytes each time."""

from __future__ import annotations

import io
import re
import subprocess
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from hashlib import sha256

import facturx
import pypdf
import pytest
import zxingcpp
from django.core.files.storage import default_storage
from django.urls import reverse
from django.utils import timezone
from lxml import etree
from PIL import Image

from jobs.changes import forgetting, invoices
from jobs.core.documents.cii import cii
from jobs.core.documents.ubl import ubl
from jobs.models.book import Invoice, Paper
from jobs.models.chain import ChainLink
from jobs.papers.invoice import invoice_pdf, transfer_code
from jobs.reads.documents import document_of
from jobs.reads.papers import waiting
from jobs.tasks import make
from tests.factories import garage, jobs
from tests.official_rules import CII, UBL, broken_rules

pytestmark = pytest.mark.django_db
EURO_SHOP = {"country": "DE", "vat_number": "DE136695976", "currency": "EUR", "bank_account": "DE33100205000001194700"}


def issued(**shop) -> Invoice:
    """Two parts, 9.50 in all."""
    card = jobs.closed_card()
    jobs.part(card)
    jobs.part(card, words="Gasket & “seal”", quantity=Decimal("1.5"), price_each=Decimal("3.33"))
    garage.shop(**{"vat_number": "GB980780684"} | shop)
    invoice = invoices.issue(card.visit, by=garage.boss(), now=timezone.now())
    return Invoice.objects.select_related("link").get(pk=invoice.pk)


def words_of(pdf: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return re.sub(r"\s+", " ", "\n".join(page.extract_text() for page in pages))


def test_the_paper_is_pdf_a_3_by_all_that_can_be_looked_at():
    """No validator of PDF/A can be installed here: what it would look at first is looked at."""
    reader = pypdf.PdfReader(io.BytesIO(invoice_pdf(issued())))
    root = reader.trailer["/Root"]
    assert root["/OutputIntents"][0].get_object()["/S"] == "/GTS_PDFA1"
    metadata = etree.fromstring(root["/Metadata"].get_object().get_data())
    rdf = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}RDF"
    assert [child.tag for child in metadata] == [rdf]
    assert b'pdfaid:part="3" pdfaid:conformance="B"' in etree.tostring(metadata)
    assert b"<fx:ConformanceLevel>EN 16931<" in etree.tostring(metadata)
    fonts = [font.get_object() for font in reader.pages[0]["/Resources"]["/Font"].values()]
    within = [font["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object() for font in fonts]
    assert within
    assert all({"/FontFile", "/FontFile2", "/FontFile3"} & each.keys() for each in within)
    (file,) = (each.get_object() for each in root["/AF"])
    assert (file["/UF"], file["/AFRelationship"]) == ("factur-x.xml", "/Alternative")
    assert not reader.is_encrypted


def test_another_reader_finds_the_invoice_inside_and_it_is_valid():
    invoice = issued(bank_account="60161331926819")
    name, inside = facturx.get_facturx_xml_from_pdf(invoice_pdf(invoice), check_xsd=False)
    assert name == "factur-x.xml"
    assert etree.tostring(etree.fromstring(cii(document_of(invoice))), method="c14n") == etree.tostring(
        etree.fromstring(inside), method="c14n"
    )
    assert broken_rules(cii(document_of(invoice)), CII) == broken_rules(ubl(document_of(invoice)), UBL) == []


@pytest.mark.parametrize("shop", [{"vat_number": ""}, EURO_SHOP])
def test_a_shop_that_is_not_registered_or_elsewhere_writes_valid_invoices_too(shop):
    document = document_of(issued(**shop))
    assert broken_rules(cii(document), CII) == broken_rules(ubl(document), UBL) == []


def test_the_paper_says_where_to_pay_until_when_and_its_value_in_the_chain():
    invoice = issued(bank_account="60161331926819", bank_holder="J Harker", invoice_due_days=10, company_number="0185")
    said = words_of(invoice_pdf(invoice))
    due = invoice.issued_on + timedelta(days=10)
    assert f"£9.50 to pay by {due:%A} {due.day} {due:%B %Y}." in said
    assert "To J Harker, sort code 60-16-13, account 31926819." in said
    assert "Company number 0185" in said
    assert ChainLink.objects.get().value in said


def test_a_banking_app_reads_the_code_on_the_paper(tmp_path):
    invoice = issued(**EURO_SHOP, bank_bic="BFSWDE33BER", bank_holder="Grubenstraße Rollen")
    (tmp_path / "paper.pdf").write_bytes(invoice_pdf(invoice))
    subprocess.run(
        ["pdftoppm", "-r", "150", "-png", "-singlefile", tmp_path / "paper.pdf", tmp_path / "paper"], check=True
    )
    with Image.open(tmp_path / "paper.png") as picture:
        (code,) = zxingcpp.read_barcodes(picture)
    service = ["BCD", "002", "2", "SCT", "BFSWDE33BER", "Grubenstraße Rollen", "DE33100205000001194700", "EUR9.5"]
    assert code.bytes.decode("iso-8859-1").split("\n")[:8] == service
    assert "Invoice 1" in code.text.split("\n")


@pytest.mark.parametrize(("currency", "said"), [("EUR", "€9.50 to pay"), ("CHF", "CHF 9.50 to pay")])
def test_a_paper_is_in_its_own_money_all_through(currency, said):
    paper = words_of(invoice_pdf(issued(currency=currency)))
    assert said in paper
    assert "£" not in paper


@pytest.mark.parametrize("change", [{"currency": "GBP"}, {"account": None}, {"prepaid": Decimal("9.50")}])
def test_there_is_no_code_but_in_euros_to_an_iban_with_something_to_pay(change):
    document = document_of(issued(**EURO_SHOP))
    assert transfer_code(document)
    assert transfer_code(replace(document, **change)) is None


def test_a_paper_made_again_after_its_file_is_lost_has_the_same_bytes(client):
    invoice = issued()
    (paper,) = waiting()
    make(paper, now=timezone.now())
    kept = Paper.objects.get()
    default_storage.delete(kept.file.name)
    garage.shop(name="Another name", vat_number="", bank_account="60161331926819", currency="EUR")
    client.force_login(garage.boss())
    again = client.get(reverse("invoice-pdf", args=[invoice.number])).content
    assert sha256(again).hexdigest() == kept.sha256


def test_once_whom_it_was_written_to_is_gone_there_is_a_paper_and_no_electronic_invoice(client):
    invoice = issued()
    forgetting.forget_old(now=timezone.now() + timedelta(days=8 * 365))
    client.force_login(garage.boss())
    assert client.get(reverse("invoice-pdf", args=[invoice.number])).content.startswith(b"%PDF")
    page = client.get(reverse("invoice-ubl", args=[invoice.number]), follow=True)
    assert "whom it was written to is gone" in page.content.decode()
    assert reverse("invoice-ubl", args=[invoice.number]) not in page.content.decode()


def test_the_electronic_invoice_is_downloaded_by_its_name(client):
    invoice = issued()
    client.force_login(garage.person())
    assert reverse("invoice-ubl", args=[1]) in client.get(reverse("invoice", args=[1])).content.decode()
    answer = client.get(reverse("invoice-ubl", args=[1]))
    assert answer["Content-Disposition"] == 'attachment; filename="invoice-1.xml"'
    assert answer.content == ubl(document_of(invoice))
