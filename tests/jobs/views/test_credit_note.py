"""A kept deposit given back on the pages: from its invoice, on the visit, in the book and on the owner's page."""

from __future__ import annotations

import io
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from garage.changes.visit import visits
from garage.core import states
from garage.reads import links
from jobs.changes import kept_deposits, payments
from jobs.models.book import CreditNote, Invoice, Payment
from tests.factories import garage, jobs
from tests.forms import keyed

pytestmark = pytest.mark.django_db
WHOLE = Decimal("30.00")
GIVEN = {"amount": "10.00", "how": "transfer", "why": "He was in hospital."}


@pytest.fixture
def desk(client):
    garage.shop(vat_number="GB999999973")
    client.force_login(garage.front_desk())
    return client


@pytest.fixture
def kept(desk):
    now, by = timezone.now(), garage.front_desk()
    visit = garage.visit(state=states.DEPOSIT_AWAITED, deposit=WHOLE, starts_at=now - timedelta(hours=3))
    payments.deposit(visit, amount=WHOLE, how="transfer", by=by, now=now)
    visits.did_not_come(visit, by=by, now=now)
    return kept_deposits.keep(visit, why="Nobody came.", by=by, now=now)


def words(answer):
    return " ".join(answer.text.split())


def shown(desk, name, *args):
    return words(desk.get(reverse(name, args=args)))


def words_of(pdf):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def test_it_is_given_back_from_its_invoice_and_shown_wherever_it_was(desk, kept):
    where = reverse("credit-note-issue", args=[kept.number])
    assert where in shown(desk, "invoice", kept.number)
    assert 'value="30.00"' in desk.get(where).text
    answer = desk.post(where, GIVEN | keyed(), follow=True)
    note = CreditNote.objects.get().invoice
    assert answer.redirect_chain == [(reverse("invoice", args=[note.number]), 302)]
    said = words(answer)
    for one in (
        f"<h1>Credit note {note.number}</h1>",
        "He was in hospital.",
        "£8.33",
        "£1.67",
        "£10.00",
        "Given back.",
    ):
        assert one in said
    assert reverse("payment-add", args=[note.number]) not in said
    assert f"credit note {note.number}</a>: He was in hospital." in shown(desk, "invoice", kept.number)
    assert "£20.00 of it is still kept" in shown(desk, "invoice", kept.number)
    assert f"Credit note {note.number}</a>, £10.00: He was in hospital." in shown(desk, "visit", kept.visit.number)
    book = shown(desk, "the-book")
    assert f"Credit note {note.number}</a></th>" in book
    assert f"Credit note {note.number}</a></td>" in book
    assert "Still owed, £0.00" in book
    assert "-£10.00" in book
    assert f"Credit note {note.number}</a>" in words(desk.get(reverse("search"), {"q": str(note.number)}))


def test_the_book_has_income_and_vat_less_what_was_given_back(desk, kept):
    desk.post(reverse("credit-note-issue", args=[kept.number]), GIVEN | keyed())
    page = desk.get(reverse("the-book")).context["page"]
    assert (page.gross, page.net, page.vat) == (Decimal("20.00"), Decimal("16.67"), Decimal("3.33"))
    assert page.came_in == Decimal("20.00")


def test_once_all_of_it_is_given_back_no_more_is_offered(desk, kept):
    where = reverse("credit-note-issue", args=[kept.number])
    desk.post(where, GIVEN | keyed(amount="30"))
    assert where not in shown(desk, "invoice", kept.number)
    assert "All of it is given back already." in desk.get(where).text
    again = desk.post(where, GIVEN | keyed())
    assert again.status_code == 409
    assert f"All of the deposit kept on invoice {kept.number} is given back already." in again.text


@pytest.mark.parametrize(
    "typed", [{"amount": "-10"}, {"amount": "30.01"}, {"amount": "x"}, {"why": " "}, {"how": "shells"}]
)
def test_what_cannot_be_used_is_said_beside_its_field_and_stays_typed(desk, kept, typed):
    answer = desk.post(reverse("credit-note-issue", args=[kept.number]), GIVEN | keyed() | typed)
    assert answer.status_code == 422
    if "amount" in typed:
        assert f'value="{typed["amount"]}"' in answer.text
    assert not CreditNote.objects.exists()
    assert Payment.objects.count() == 1


def test_a_minus_on_its_invoice_says_where_the_credit_note_is_made(desk, kept):
    answer = desk.post(reverse("payment-add", args=[kept.number]), keyed(amount="-30", how="cash"))
    assert answer.status_code == 409
    assert words(answer).count("it is given back with a credit note. Open invoice") == 1


def test_who_handles_no_money_reads_it_and_makes_none(desk, client, kept):
    client.force_login(garage.person())
    where = reverse("credit-note-issue", args=[kept.number])
    assert where not in client.get(reverse("invoice", args=[kept.number])).text
    assert client.post(where, GIVEN | keyed()).status_code == 403


def test_only_a_kept_deposit_has_one(desk):
    card = jobs.closed_card()
    jobs.part(card)
    desk.post(
        reverse("invoice-issue", args=[card.visit.number]), {"do": "issue", "buyer_address": "1 Mill Row"} | keyed()
    )
    assert desk.get(reverse("credit-note-issue", args=[Invoice.objects.get().number])).status_code == 404


def test_the_owner_reads_it_and_opens_the_paper_of_this_visit_alone(desk, client, kept):
    desk.post(reverse("credit-note-issue", args=[kept.number]), GIVEN | keyed())
    note, token = CreditNote.objects.get().invoice, links.token(kept.visit, links.VISIT)
    said = words(client.get(reverse("owner-visit", args=[token])))
    assert "£10.00 of it was given back" in said
    assert "He was in hospital." in said
    path = reverse("owner-credit-note", args=[token, note.number])
    assert path in said
    paper = words_of(client.get(path).content)
    for needed in (
        f"Credit note {note.number}",
        f"Invoice {kept.number} of",
        "VAT number GB999999973",
        kept.visit.owner.name,
        "He was in hospital.",
        "£8.33",
        "£1.67",
        "£10.00",
    ):
        assert needed in paper
    other = links.token(garage.visit(), links.VISIT)
    for wrong in ([other, note.number], [token, kept.number]):
        assert client.get(reverse("owner-credit-note", args=wrong)).status_code == 404


def test_an_invoice_of_work_is_credited_from_its_page_and_its_owner_reads_it(desk, client):
    card = jobs.closed_card()
    jobs.part(card, price_each=Decimal("12.00"))
    desk.post(reverse("invoice-issue", args=[card.visit.number]), {"do": "issue"} | keyed())
    invoice = Invoice.objects.get()
    desk.post(reverse("payment-add", args=[invoice.number]), keyed(amount="12", how="card"))
    where = reverse("invoice-credit", args=[invoice.number])
    assert where in desk.get(reverse("invoice", args=[invoice.number])).text
    assert 'value="12.00"' in desk.get(where).text
    typed = keyed(line_1="4", how="cash", why="It was scratched.")
    answer = desk.post(where, typed | {"line_1": "12.01"})
    assert (answer.status_code, "at most £12.00" in answer.text, 'value="12.01"' in answer.text) == (422, True, True)
    for _ in range(2):  # a double-click is one
        desk.post(where, typed)
    note = CreditNote.objects.get()
    assert [payment.amount for payment in Payment.objects.filter(invoice=note.invoice)] == [Decimal("-4.00")]
    text = desk.get(reverse("invoice", args=[invoice.number])).text
    assert "£8.00 of the invoice still stands." in text
    assert "It was scratched." in desk.get(reverse("invoice", args=[note.invoice.number])).text
    owner = client.get(reverse("owner-visit", args=[links.token(card.visit, links.VISIT)])).text
    assert "£4.00 of it was credited" in owner
    paper = PdfReader(io.BytesIO(desk.get(reverse("invoice-pdf", args=[note.invoice.number])).content))
    assert f"Invoice {invoice.number} of" in " ".join(paper.pages[0].extract_text().split())
