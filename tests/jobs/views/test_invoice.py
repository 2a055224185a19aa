import io
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from garage.core import states
from garage.models.visits import Step
from jobs import tasks
from jobs.changes import invoices
from jobs.models.book import Invoice, Payment
from tests.factories import garage, jobs
from tests.forms import keyed

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    person = garage.front_desk(first_name="Ted")
    client.force_login(person)
    return person


def ready_to_invoice(**given):
    card = jobs.closed_card(visit=jobs.visit_here(**given))
    now = timezone.now()
    Step.objects.create(
        visit=card.visit,
        index=1,
        at="roller",
        minutes=90,
        what="set-up",
        began_at=now - timedelta(hours=1),
        ended_at=now,
    )
    return card


def issued(**given):
    return invoices.issue(ready_to_invoice(**given).visit, by=garage.boss(), now=timezone.now())


def address(visit):
    return reverse("invoice-issue", args=[visit.number])


def words_of(pdf):
    text = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    return " ".join(text.split())


def test_the_preview_shows_the_invoice_and_issues_nothing(client, desk):
    card = ready_to_invoice()
    jobs.part(card)
    text = client.get(address(card.visit)).text
    assert "Set-up, 90 minutes on the rollers" in text
    assert "£124.50" in text
    assert not Invoice.objects.exists()


def test_looking_again_without_the_session_leaves_it_out(client, desk):
    card = ready_to_invoice()
    jobs.part(card)
    text = client.post(address(card.visit), {"do": "look", "buyer_address": "1 Mill Row"} | keyed()).text
    assert "£4.50" in text
    assert "90 minutes on the rollers" not in text
    assert "1 Mill Row" in text
    assert not Invoice.objects.exists()


def test_issuing_leads_to_the_frozen_invoice_and_back_again(client, desk):
    card = ready_to_invoice()
    typed = {"do": "issue", "was_held": "on", "buyer_address": "1 Mill Row\nAmbleford"}
    answer = client.post(address(card.visit), keyed(**typed))
    invoice = Invoice.objects.get()
    assert answer.url == reverse("invoice", args=[invoice.number])
    text = client.get(answer.url).text
    assert "1 Mill Row" in text
    assert "£120.00 left to pay" in text
    assert client.get(address(card.visit)).url == answer.url


def test_an_open_card_shows_why_no_invoice_can_be_issued(client, desk):
    card = jobs.card()
    jobs.part(card)
    assert "not closed yet" in client.get(address(card.visit)).text
    answer = client.post(address(card.visit), {"do": "issue", "buyer_address": ""} | keyed())
    assert answer.status_code == 409
    assert not Invoice.objects.exists()


def test_a_large_vat_invoice_without_an_address_is_refused_and_keeps_the_page(client, desk):
    card = ready_to_invoice(price=Decimal("260.00"))
    garage.shop(vat_number="GB980780684")
    answer = client.post(address(card.visit), {"do": "issue", "was_held": "on", "buyer_address": ""} | keyed())
    assert answer.status_code == 422
    assert "over £250 with VAT" in answer.text


def test_a_mechanic_reads_invoices_but_issues_none(client):
    invoice = issued()
    client.force_login(garage.person())
    assert client.get(reverse("invoice", args=[invoice.number])).status_code == 200
    assert client.get(address(jobs.closed_card().visit)).status_code == 403
    assert client.post(reverse("payment-add", args=[invoice.number]), {"amount": "1"}).status_code == 403
    assert client.get(reverse("the-book")).status_code == 403


def test_a_payment_is_written_and_too_much_is_refused(client, desk):
    invoice = issued()
    where = reverse("payment-add", args=[invoice.number])
    answer = client.post(where, keyed(amount="120.01", how="cash"))
    assert answer.status_code == 422
    assert "up to £120.00" in answer.text
    assert 'value="120.01"' in answer.text
    assert client.post(where, keyed(amount="120.00", how="cash")).status_code == 302
    assert "<b>Paid.</b>" in client.get(reverse("invoice", args=[invoice.number])).text


def test_money_is_given_back_with_a_minus(client, desk):
    invoice = issued()
    where = reverse("payment-add", args=[invoice.number])
    client.post(where, keyed(amount="120", how="cash"))
    assert client.post(where, keyed(amount="-20.00", how="cash")).status_code == 302
    assert [payment.amount for payment in Payment.objects.all()] == [Decimal("120.00"), Decimal("-20.00")]


def test_a_card_that_comes_to_more_than_an_invoice_says_still_has_its_page_which_says_so(client, desk):
    card = ready_to_invoice()
    jobs.labour(card, minutes=101 * 60)
    garage.shop(labour_per_hour=Decimal(10_000))
    said = "The lines come to £1,000,120.00, and an invoice takes at most £999,999.99"
    shown = client.get(address(card.visit))
    assert shown.status_code == 200
    assert said in shown.text
    answer = client.post(address(card.visit), {"do": "issue"} | keyed())
    assert answer.status_code == 409
    assert said in answer.text
    assert not Invoice.objects.exists()


def test_two_deposits_of_all_that_can_be_typed_are_refused_in_a_sentence_and_the_pages_go_on(client, desk):
    visit = jobs.visit_here(state=states.DEPOSIT_AWAITED, arrived_at=None, deposit=Decimal("30.00"))
    where = reverse("deposit-add", args=[visit.number])
    for _ in range(2):
        answer = client.post(where, keyed(amount="999999.99", how="cash"))
        assert answer.status_code == 422
        assert "up to £120.00" in answer.text
        assert 'value="999999.99"' in answer.text
    for page in (where, reverse("visit", args=[visit.number]), reverse("the-book")):
        assert client.get(page).status_code == 200


def test_the_deposit_page_books_a_visit_that_waited_for_it(client, desk):
    visit = jobs.visit_here(state=states.DEPOSIT_AWAITED, arrived_at=None, deposit=Decimal("30.00"))
    where = reverse("deposit-add", args=[visit.number])
    assert 'value="30.00"' in client.get(where).text
    assert client.post(where, keyed(amount="0", how="cash")).status_code == 422
    assert client.post(where, keyed(amount="30", how="transfer")).status_code == 302
    visit.refresh_from_db()
    assert visit.state == states.BOOKED


def test_a_ready_machine_is_collected_and_one_that_is_not_ready_is_not(client, desk):
    visit = jobs.visit_here()
    where = reverse("visit-collected", args=[visit.number])
    assert "can&#x27;t become" in client.post(where, follow=True).text
    visit.state = states.READY
    visit.save()
    client.post(where)
    visit.refresh_from_db()
    assert visit.state == states.COLLECTED


def test_the_paper_of_a_registered_shop_has_everything_required_of_a_full_vat_invoice(client, desk):
    """Source: HMRC's table of what a full VAT invoice must show (VAT Notice 700)."""
    visit_card = ready_to_invoice(price=Decimal("250.00"))
    garage.shop(vat_number="GB980780684", payment_words="By bank transfer.")
    invoice = invoices.issue(visit_card.visit, by=desk, now=timezone.now(), buyer_address="1 Mill Row\nAmbleford")
    said = words_of(client.get(reverse("invoice-pdf", args=[invoice.number])).content)
    for needed in (
        f"Invoice {invoice.number}",  # unique number
        "Quarry Lane Rolling Road",  # seller's name, address, VAT number
        "Ambleford",
        "VAT number GB980780684",
        "Invoice date",
        "Tax point",
        visit_card.visit.owner.name,  # customer's name and address
        "1 Mill Row",
        "Set-up, 90 minutes on the rollers",  # description
        "£208.33",  # total excluding VAT; gross less a sixth
        "20%",
        "£41.67",  # VAT, gross/6
        "£250.00",
        "By bank transfer.",
    ):
        assert needed in said


def test_the_paper_of_a_shop_that_is_not_registered_shows_no_vat(client, desk):
    invoice = issued()
    said = words_of(client.get(reverse("invoice-pdf", args=[invoice.number])).content)
    assert "Not VAT registered" in said
    assert said.count("VAT") == 1


def test_the_stored_paper_is_the_one_that_was_mailed(client, desk):
    invoice = issued()
    tasks.make_papers()
    sent = invoice.visit.messages.get(what="invoice_issued").enclosures.get()
    answer = client.get(reverse("invoice-pdf", args=[invoice.number]))
    assert answer.getvalue() == bytes(sent.content)
    answer.close()


def test_an_unknown_invoice_is_not_found(client, desk):
    assert client.get(reverse("invoice", args=[999])).status_code == 404
