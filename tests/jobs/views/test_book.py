from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.reads.shop import today
from jobs.changes import invoices, payments
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db


@pytest.fixture
def boss(client):
    garage.shop()
    person = garage.boss()
    client.force_login(person)
    return person


def test_the_book_shows_the_month_with_its_invoices_payments_and_vat(client, boss):
    card = jobs.closed_card()
    garage.shop(vat_number="GB980780684")
    jobs.part(card, price_each=Decimal("12.34"))
    invoice = invoices.issue(card.visit, by=boss, now=timezone.now())
    payments.take(invoice, amount=Decimal("10.00"), how="cash", by=boss, now=timezone.now())
    text = client.get(reverse("the-book")).text
    for said in ("£12.34", "VAT at 20%", "£2.06", "£10.00", "Still owed, £2.34"):
        assert said in text


def test_a_period_is_chosen_by_its_days(client, boss):
    text = client.get(reverse("the-book"), {"first": "2020-01-01", "last": "2020-03-31"}).text
    assert "Wednesday 1 January 2020 to Tuesday 31 March 2020" in text
    assert "None in this period." in text


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        ("2026-03-02", "2026-03-01", "swap them"),
        ("soon", "2026-03-01", "valid date"),
        ("", "2026-03-01", "required"),
        ("0001-01-01", "2026-03-01", "a day from 2000 to 2099"),
        ("2026-03-01", "9999-12-31", "a day from 2000 to 2099"),
    ],
)
def test_an_invalid_period_keeps_the_page(client, boss, first, last, said):
    answer = client.get(reverse("the-book"), {"first": first, "last": last})
    assert answer.status_code == 422
    assert said in answer.text


def test_the_common_periods_are_a_link_away(client, boss):
    day = today(now=timezone.now())
    text = client.get(reverse("the-book")).text
    assert f"first={day:%Y}-01-01&amp;last={day:%Y}-12-31" in text
