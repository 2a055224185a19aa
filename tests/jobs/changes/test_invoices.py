from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.db import transaction
from django.utils import timezone

from garage.core.errors import BadInput, Refused
from garage.models.trail import TrailRow
from garage.models.visits import Step
from jobs.changes import invoices
from jobs.models.book import Invoice, InvoiceLine, Paper, Payment, Series
from jobs.models.cards import Card
from tests.factories import garage, jobs
from tests.sentences import check_noted, refuses

LABOUR = "Bench labour by the clock, in tenths of an hour, rounded down"

pytestmark = pytest.mark.django_db


class Failed(Exception):
    """The light goes out midway."""


def held(visit, minutes=90, ended_at=None, **given):
    ended_at = ended_at or timezone.now()
    Step.objects.create(
        visit=visit,
        index=2,
        at="roller",
        minutes=90,
        what="set-up",
        station=1,
        began_at=ended_at - timedelta(minutes=minutes),
        ended_at=ended_at,
        **given,
    )


def deposit(visit, amount):
    by = garage.front_desk()
    Payment.objects.create(visit=visit, amount=amount, how="card", is_deposit=True, at=timezone.now(), by=by)


def test_an_invoice_takes_session_labour_parts_and_deposit():
    card = jobs.closed_card()
    visit = card.visit
    now = timezone.now()
    jobs.labour(card, minutes=200, ended_at=now)
    held(visit, ended_at=now)
    jobs.part(card)
    deposit(visit, Decimal("20.00"))
    invoice = invoices.issue(visit, by=garage.boss(), now=now)
    said = [(line.words, line.quantity, line.unit, line.gross) for line in invoice.lines.all()]
    assert said == [
        ("Set-up, 90 minutes on the rollers", Decimal("1.00"), "", Decimal("120.00")),
        (
            LABOUR,
            Decimal("1.80"),
            "h",
            Decimal("81.00"),
        ),  # 200 - 90 = 110 min
        ("Main jet 98", Decimal("1.00"), "", Decimal("4.50")),
    ]
    assert (invoice.gross, invoice.deposit) == (Decimal("205.50"), Decimal("20.00"))


def test_strapping_down_is_in_the_price_of_the_session():
    card, now = jobs.closed_card(), timezone.now()
    jobs.labour(card, minutes=200, ended_at=now)
    held(card.visit, ended_at=now, strapped_from=now - timedelta(minutes=98))
    invoice = invoices.issue(card.visit, by=garage.boss(), now=now)
    labour = invoice.lines.get(words=LABOUR)
    assert labour.quantity == Decimal("1.70")  # 200 - 98 = 102 min


def test_a_shop_without_vat_number_shows_no_vat():
    invoice = _issued(vat_number="")
    assert (invoice.vat, invoice.net, invoice.vat_by_rate) == (Decimal("0.00"), invoice.gross, [])


@pytest.mark.parametrize(
    ("price", "vat"),
    [
        pytest.param("250.00", "41.67", id="gross/6, HMRC VAT fraction at 20 %"),
        pytest.param("99.99", "16.67", id="16.665 half up: retailers may not round down, Notice 700 17.5.2"),
        pytest.param("12.34", "2.06", id="2.0567, VAT fraction at 20 %"),
    ],
)
def test_the_vat_of_an_invoice_is_the_vat_fraction_of_its_total(price, vat):
    invoice = _issued(vat_number="GB980780684", price=price)
    assert invoice.vat == Decimal(vat)
    assert invoice.net + invoice.vat == invoice.gross == Decimal(price)
    assert invoice.vat_by_rate == [["20", str(invoice.net), str(invoice.vat), "S"]]


def _issued(vat_number, price="100.00"):
    visit = jobs.visit_here(price=Decimal(price))
    garage.shop(vat_number=vat_number)
    jobs.closed_card(visit=visit)
    held(visit)
    return invoices.issue(visit, by=garage.boss(), now=timezone.now())


def test_over_250_pounds_with_vat_a_buyers_address_is_needed():
    """Source: SI 1995/2518 reg. 16A, simplified up to £250 with VAT; HMRC's table of a full invoice."""
    visit = jobs.visit_here(price=Decimal("250.01"))
    garage.shop(vat_number="GB980780684")
    jobs.closed_card(visit=visit)
    with pytest.raises(BadInput, match="over £250"):
        invoices.issue(visit, by=garage.boss(), now=timezone.now(), was_held=True)
    invoice = invoices.issue(
        visit, by=garage.boss(), now=timezone.now(), was_held=True, buyer_address="1 Mill Row\nAmbleford"
    )
    assert invoice.buyer["address"] == ["1 Mill Row", "Ambleford"]


def test_a_roller_session_that_did_not_take_place_is_not_charged():
    card = jobs.closed_card()
    jobs.labour(card, minutes=50)
    invoice = invoices.issue(card.visit, by=garage.boss(), now=timezone.now())
    assert [line.words for line in invoice.lines.all()] == [LABOUR]


def test_an_open_card_is_not_invoiced():
    card = jobs.card()
    held(card.visit)
    with pytest.raises(Refused, match="not closed yet"):
        invoices.issue(card.visit, by=garage.boss(), now=timezone.now())


def test_a_visit_is_invoiced_once():
    card = jobs.closed_card()
    held(card.visit)
    first = invoices.issue(card.visit, by=garage.boss(), now=timezone.now())
    with pytest.raises(Refused, match=f"number {first.number}"):
        invoices.issue(card.visit, by=garage.boss(), now=timezone.now())


def test_nothing_to_charge_is_refused_and_takes_no_number():
    card = jobs.closed_card()
    with pytest.raises(Refused, match="nothing to charge"):
        invoices.issue(card.visit, by=garage.boss(), now=timezone.now())
    assert not Series.objects.exists()


@transaction.atomic
def issued_and_failed(visit):
    assert invoices.issue(visit, by=garage.boss(), now=timezone.now()).number == 1
    raise Failed


def test_a_failure_midway_leaves_nothing_and_its_number_goes_to_the_next():
    first, second = jobs.closed_card(), jobs.closed_card()
    for card in (first, second):
        held(card.visit)
    with pytest.raises(Failed):
        issued_and_failed(first.visit)
    assert not Invoice.objects.exists()
    assert not InvoiceLine.objects.exists()
    assert not Paper.objects.exists()
    assert invoices.issue(second.visit, by=garage.boss(), now=timezone.now()).number == 1
    assert invoices.issue(first.visit, by=garage.boss(), now=timezone.now()).number == 2


def test_issuing_is_in_the_trail_and_wants_a_paper():
    card = jobs.closed_card()
    held(card.visit)
    by = garage.boss()
    invoice = invoices.issue(card.visit, by=by, now=timezone.now())
    row = TrailRow.objects.get(visit=card.visit, did__startswith="issued invoice")
    assert (row.by, row.did) == (by, f"issued invoice {invoice.number}: £120.00")
    assert Paper.objects.get(invoice=invoice).made_at is None


def test_an_invoice_is_frozen_with_seller_buyer_machine_and_days():
    owner = garage.owner(name="Pat Lane", email="pat@example.org", address=" 1 Mill Row \n\nAmbleford ")
    machine = garage.machine(owner=owner, registration="ABC 123")
    visit = jobs.visit_here(machine=machine)
    garage.shop(payment_words="Within 14 days.", vat_number="GB980780684")
    now = datetime(2026, 7, 2, 23, 30, tzinfo=UTC)  # half past midnight on the third, in summer
    card = jobs.closed_card(visit=visit)
    Card.objects.update(closed_at=now - timedelta(days=1))
    jobs.part(card, price_each=Decimal("12.00"))
    by = garage.boss()
    invoices.issue(visit, by=by, now=now)
    row = Invoice.objects.get()
    assert (row.visit, row.issued_on, row.supplied_on) == (visit, date(2026, 7, 3), date(2026, 7, 2))
    assert (row.issued_at, row.issued_by, row.frozen_at) == (now, by, now)
    assert row.buyer == {"name": "Pat Lane", "address": ["1 Mill Row", "Ambleford"], "email": "pat@example.org"}
    assert (row.seller["name"], row.seller["vat_number"]) == ("Quarry Lane Rolling Road", "GB980780684")
    assert (row.machine, row.payment_words) == ("Corrick 185 ABC 123", "Within 14 days.")
    assert (row.net, row.vat, row.gross) == (Decimal("10.00"), Decimal("2.00"), Decimal("12.00"))
    assert row.vat_by_rate == [["20", "10.00", "2.00", "S"]]
    assert [(line.index, line.words) for line in row.lines.all()] == [(1, "Main jet 98")]
    assert row.paper.wanted_at == now
    said = f"issued invoice {row.number}: £12.00"
    check_noted(said, by=by, at=now, visit=visit, invoice=row.number)


def test_a_machine_without_a_registration_is_named_by_its_words_alone():
    assert _issued(vat_number="").machine == "Corrick 185"


def test_numbers_go_on_from_the_last_of_the_series():
    Series.objects.create(name="invoice", last=41)
    Series.objects.create(name="another", last=99)
    assert _issued(vat_number="").number == 42
    assert Series.objects.get(name="invoice").last == 42


def test_a_roller_session_may_be_charged_or_left_out_whatever_the_steps_say():
    card = jobs.closed_card()
    jobs.part(card)
    held(card.visit)
    invoice = invoices.issue(card.visit, by=garage.boss(), now=timezone.now(), was_held=False)
    assert [line.words for line in invoice.lines.all()] == ["Main jet 98"]


def test_each_refusal_of_an_invoice_says_what_to_do_first():
    by, now = garage.boss(), timezone.now()
    for visit in (jobs.visit_here(), jobs.card().visit):
        sentence = f"The card of visit {visit.number} is not closed yet: close it with its cause, then invoice."
        with refuses(sentence):
            invoices.issue(visit, by=by, now=now)
    card = jobs.closed_card(visit=jobs.visit_here(price=Decimal("250.01")))
    with refuses("There is nothing to charge on this card: no session, no labour, no parts."):
        invoices.issue(card.visit, by=by, now=now)
    garage.shop(vat_number="GB980780684")
    full = "a name and an address: over £250 with VAT a full invoice is needed, and it carries both"
    with refuses(f"address is missing; allowed is {full}.", BadInput):
        invoices.issue(card.visit, by=by, now=now, was_held=True, buyer_address=" ")
    garage.shop(vat_number="")
    invoice = invoices.issue(card.visit, by=by, now=now, was_held=True)
    with refuses(f"Visit {card.visit.number} already has an invoice: number {invoice.number}."):
        invoices.issue(card.visit, by=by, now=now)


def test_issuing_takes_few_queries_and_few_once_it_has_the_number(django_assert_max_num_queries):
    first, second = jobs.closed_card(), jobs.closed_card()
    for card in (first, second):
        jobs.part(card)
    boss = garage.boss()
    invoices.issue(first.visit, by=boss, now=timezone.now())
    with django_assert_max_num_queries(23) as taken:
        invoices.issue(second.visit, by=boss, now=timezone.now())
    said = [query["sql"] for query in taken]
    number = next(at for at, sql in enumerate(said) if "jobs_series" in sql)
    assert len(said) - number <= 10, "everybody else waits for these"
