"""What one search finds, on both kinds of database."""

from decimal import Decimal

import pytest
from django.utils import timezone

from garage.models.owners import Owner
from jobs.changes import invoices
from jobs.core.search_words import sought
from jobs.reads.found import SHOWN, found
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db


@pytest.fixture
def invoice():
    garage.shop()
    card = jobs.closed_card()
    jobs.part(card, price_each=Decimal("60.00"))
    visit = card.visit
    Owner.objects.filter(pk=visit.owner_id).update(name="Robin Ashworth", telephone="+44 (0)1632 960123")
    visit.machine.words, visit.machine.registration = "Corrick 185", "AB12 CDE"
    visit.machine.save()
    other = garage.visit(number=visit.number + 7000)
    other.machine.words = "Tarnhow 250"
    other.machine.save()
    Owner.objects.filter(pk=other.owner_id).update(name="Sam Tyson", telephone="07700 900999")
    return invoices.issue(visit, by=garage.boss(), buyer_address="", now=timezone.now())


def kinds(typed):
    what = found(sought(typed, "44"))
    return {
        "owners": [row.name for row in what.owners],
        "machines": [row.registration for row in what.machines],
        "visits": [row.number for row in what.visits],
        "invoices": [row.number for row in what.invoices],
    }


@pytest.mark.parametrize(
    "typed",
    [
        *(
            "ashworth",
            "ROBIN ash",
            "01632 960123",
            "01632960123",
            "+44 1632 960123",
            "0044 1632960123",
            "960 123",
            "01632",
        ),
    ],
)
def test_an_owner_is_found_with_all_that_is_theirs(invoice, typed):
    assert kinds(typed) == {
        "owners": ["Robin Ashworth"],
        "machines": ["AB12 CDE"],
        "visits": [invoice.visit.number],
        "invoices": [invoice.number],
    }


@pytest.mark.parametrize("typed", ["ab12cde", "AB12 CDE", "ab-12-cde", "B12C", "Corrick 185"])
def test_a_machine_is_found_by_registration_or_its_name(invoice, typed):
    what = kinds(typed)
    assert (what["machines"], what["visits"], what["invoices"]) == (
        ["AB12 CDE"],
        [invoice.visit.number],
        [invoice.number],
    )


def test_visit_card_and_invoice_are_found_by_number(invoice):
    assert kinds(f"visit {invoice.visit.number}")["visits"][0] == invoice.visit.number
    assert kinds(f"invoice {invoice.number}")["invoices"] == [invoice.number]
    assert found(sought(str(invoice.visit.number), "44")).visits[0].card


def test_the_number_itself_comes_first(invoice):
    for other in range(SHOWN + 3):
        visit = garage.visit(number=90000 + other)
        visit.machine.registration = f"X {invoice.visit.number} Z"
        visit.machine.save()
    what = found(sought(str(invoice.visit.number), "44"))
    assert what.visits[0].number == invoice.visit.number
    assert len(what.visits) == SHOWN
    assert "visits" in what.more


def test_letters_with_accents_are_found_in_either_case(invoice):
    Owner.objects.filter(name="Sam Tyson").update(name="Örjan Émond")
    assert kinds("örjan")["owners"] == kinds("ÉMOND")["owners"] == ["Örjan Émond"]


@pytest.mark.parametrize("typed", ["nobody", "%", "_", "' OR 1=1 --", "9" * 9, "00000"])
def test_what_is_not_there_is_not_found(invoice, typed):
    assert found(sought(typed, "44")).is_empty


def test_it_takes_four_queries_however_much_there_is(invoice, django_assert_num_queries):
    for _ in range(30):
        jobs.card()
    with django_assert_num_queries(4):
        what = found(sought("Owner", "44"))
        assert [visit.card for visit in what.visits if hasattr(visit, "card")]
        assert [machine.owner.name for machine in what.machines]
