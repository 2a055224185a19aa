"""Sold over the counter: an invoice without a visit, with everything else that an invoice has."""

from __future__ import annotations

import io
import json
from datetime import timedelta
from decimal import Decimal
from zipfile import ZipFile

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from garage.changes.people.erasing import erase
from garage.changes.people.owners import join_owners
from garage.core import states
from garage.models.owners import Owner
from jobs import tasks
from jobs.changes.forgetting import forget_owners
from jobs.models.book import CounterSale, Invoice, Payment
from jobs.reads.book import unpaid
from tests.factories import garage
from tests.forms import keyed

pytestmark = pytest.mark.django_db
SOLD = {"words_1": "Spark plug", "quantity_1": "2", "price_1": "6.00", "how": "cash"}


@pytest.fixture
def desk(client):
    garage.shop(vat_number="GB980780684")
    client.force_login(garage.front_desk())
    return client


def sell(desk, **typed):
    return desk.post(reverse("counter-sale"), keyed(**SOLD | typed))


def test_a_sale_is_a_numbered_invoice_paid_at_once_with_a_paper_and_no_mail(desk):
    typed = keyed(**SOLD, words_2="Loyal customer", price_2="-1", words_3="Manual", price_3="10", rate_3="0")
    for _ in range(2):  # a double-click sells once
        desk.post(reverse("counter-sale"), typed)
    tasks.make_papers()
    invoice = Invoice.objects.get()
    assert (invoice.number, invoice.visit, invoice.buyer["name"]) == (1, None, "Counter sale")
    assert [(line.words, line.gross, line.vat_category) for line in invoice.lines.all()] == [
        ("Spark plug", Decimal("12.00"), "S"),
        ("Discount: Loyal customer", Decimal("-1.00"), "S"),
        ("Manual", Decimal("10.00"), "Z"),
    ]
    assert [(paid.amount, paid.how, paid.visit) for paid in Payment.objects.all()] == [(Decimal("21.00"), "cash", None)]
    pages = [
        reverse("invoice", args=[1]),
        reverse("the-book"),
        reverse("search") + "?q=invoice 1",
        reverse("book-owed"),
    ]
    assert [desk.get(page).status_code for page in pages] == [200] * 4
    paper = PdfReader(io.BytesIO(desk.get(reverse("invoice-pdf", args=[1])).content))
    assert "Spark plug" in paper.pages[0].extract_text()


def test_it_is_paid_in_parts_later_and_credited_like_any_other(desk):
    sell(desk, how="later")
    desk.post(reverse("payment-add", args=[1]), keyed(amount="5", how="card"))
    assert [row.left for row in unpaid()] == [Decimal("7.00")]
    desk.post(reverse("invoice-credit", args=[1]), keyed(line_1="12", how="cash", why="Brought back."))
    assert unpaid() == []
    assert sum(Payment.objects.values_list("amount", flat=True)) == 0


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"words_1": "", "price_1": ""}, "A line needs a few words to say what it is."),
        ({"price_1": ""}, "A line needs a price"),
        ({"words_1": ""}, "A line needs a few words"),
        ({"price_1": "1.23456"}, "an amount in pounds from 0 to 999,999.99"),
        ({"quantity_1": "1000000000000"}, "less than or equal to 9999"),
        ({"price_1": "126"}, "over £250 with VAT a full invoice is needed"),
        ({"price_1": "-1"}, "take less off"),
    ],
)
def test_what_cannot_be_sold_is_one_sentence_and_nothing_is_written(desk, typed, said):
    answer = sell(desk, **typed)
    assert (answer.status_code in (409, 422), said in answer.text) == (True, True)
    assert (Invoice.objects.count(), Payment.objects.count()) == (0, 0)


@pytest.fixture
def robin():
    return garage.owner(name="Robin Farrow", address="3 Mill Lane\nAmbleford", telephone="07700 900321")


def statement(desk, owner):
    return [(row.words, row.amount) for row in _statement(desk, owner).rows]


def _statement(desk, owner):
    return desk.get(reverse("owner-statement", args=[owner.pk])).context["page"]


def sell_to(desk, owner, **typed):
    return sell(desk, who=owner.name, owner=str(owner.pk), **typed)


def test_an_owner_is_found_by_name_and_what_was_typed_stays(desk, robin):
    for n in range(2):
        garage.owner(name=f"Sam Farrow {n}")
    answer = sell(desk, do="find", who="robin f", buyer_name="R. Farrow")
    assert answer.status_code == 200
    assert f'name="owner" value="{robin.pk}" checked' in answer.text
    assert 'value="Spark plug"' in answer.text
    assert 'value="R. Farrow"' in answer.text
    assert "Sam Farrow" not in answer.text
    several = sell(desk, do="find", who="farrow").text
    assert (several.count('name="owner"'), several.count("checked")) == (3, 0)
    assert "Nobody was found" in sell(desk, do="find", who="xyzzy").text
    assert Invoice.objects.count() == 0


def test_a_sale_to_a_known_owner_carries_name_and_address_and_stands_on_the_statement(desk, robin):
    sell_to(desk, robin, how="later")
    invoice = Invoice.objects.get()
    assert (invoice.buyer["name"], invoice.buyer["address"]) == ("Robin Farrow", ["3 Mill Lane", "Ambleford"])
    desk.post(reverse("payment-add", args=[1]), keyed(amount="5", how="card"))
    assert statement(desk, robin) == [("Invoice 1", 12), ("Paid, card machine", -5)]
    assert _statement(desk, robin).owed == 7
    assert f'{reverse("owner-statement", args=[robin.pk])}"' in desk.get(reverse("book-owed")).text
    assert f'{reverse("owner", args=[robin.pk])}"' in desk.get(reverse("invoice", args=[1])).text


def test_its_credit_note_stands_there_too_and_nobody_elses_does(desk, robin):
    sell_to(desk, robin)
    sell(desk)
    desk.post(reverse("invoice-credit", args=[1]), keyed(line_1="12", how="cash", why="Brought back."))
    said = [("Invoice 1", 12), ("Paid, cash", -12), ("Credit note 3", -12), ("Paid back, cash", 12)]
    assert sorted(statement(desk, robin)) == sorted(said)
    assert CounterSale.objects.count() == 2


def test_what_a_joined_record_bought_is_on_the_statement_of_the_one_that_counts(desk, robin):
    other = garage.owner(name="R Farrow")
    sell_to(desk, other)
    join_owners(robin, other, by=garage.boss(), now=timezone.now())
    assert statement(desk, robin)[0] == ("Invoice 1", 12)


def test_the_file_for_an_owner_has_what_was_sold_to_them(desk, robin, client):
    sell_to(desk, robin)
    sell_to(desk, garage.owner(name="Somebody Else"), words_1="A chain")
    client.force_login(garage.boss())
    answer = client.get(reverse("owner-data", args=[robin.pk]))
    data = json.loads(ZipFile(io.BytesIO(b"".join(answer.streaming_content))).read("data.json"))["data"]
    assert [row["number"] for row in data["invoices"]] == [1]
    assert [row["words"] for row in data["invoice_lines"]] == ["Spark plug"]
    assert [row["amount"] for row in data["payments"]] == ["12.00"]
    assert len(data["counter_sales"]) == len(data["papers"]) == 1


def test_an_erased_owner_stays_on_the_paper_of_the_book_and_nothing_more_is_sold_to_them(desk, robin):
    sell_to(desk, robin)
    erase(robin, by=garage.boss(), now=timezone.now())
    assert Invoice.objects.get().buyer["name"] == "Robin Farrow"
    assert statement(desk, robin)[0] == ("Invoice 1", 12)
    answer = sell_to(desk, robin)
    assert answer.status_code == 422
    assert "Not an owner any more: find them again." in answer.text


def test_who_has_bought_lately_is_not_past_their_time_however_long_ago_the_visit_was(desk, robin):
    now = timezone.now()
    long_ago = now - timedelta(days=9 * 366)
    visit = garage.visit(machine=garage.machine(owner=robin), state=states.COLLECTED)
    type(visit).objects.update(collected_at=long_ago, booked_at=long_ago, starts_at=long_ago)
    sell_to(desk, robin)
    assert forget_owners(now=now) == 0
    assert forget_owners(now=now + timedelta(days=8 * 366)) == 1
    assert Owner.objects.get(pk=robin.pk).erased_at


def test_a_name_without_a_choice_is_one_sentence(desk, robin):
    answer = sell(desk, who="Robin")
    assert answer.status_code == 422
    assert "Find the owner and choose one of those listed, or leave this empty." in answer.text
    assert Invoice.objects.count() == 0


def test_the_first_line_is_needed_and_the_others_are_folded_until_one_is_used(desk):
    def shown(**typed):
        answer = sell(desk, **typed) if typed else desk.get(reverse("counter-sale"))
        return answer.text

    empty = shown()
    assert 'for="id_words_1">Line 1</label>' in empty
    assert '<details class="add">' in empty
    assert '<details class="add" open>' in shown(words_2="Manual", price_2="")
