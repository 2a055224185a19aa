"""A part that was ordered for a card and comes after it was closed, wrong, or never."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.core import states
from garage.core.errors import Refused
from garage.models.visits import Visit
from jobs.changes import closing, invoices, part_orders, parts
from jobs.models.cards import CardLine
from jobs.models.parts import PartOrder, StockPart
from tests.factories import garage
from tests.jobs.views.test_invoice import ready_to_invoice

pytestmark = pytest.mark.django_db
NOW = timezone.now


@pytest.fixture
def by(client):
    person = garage.boss()
    client.force_login(person)
    return person


@pytest.fixture
def late(by):
    """Its card is closed."""
    return ordered(ready_to_invoice().visit, by)


def ordered(visit, by, **given):
    values = {"words": "Stator", "quantity": Decimal(2), "price_each": Decimal("60.00"), "supplier": "Lane Parts"}
    return PartOrder.objects.create(visit=visit, at=NOW(), by=by, **values | given)


def reopened(row, by):
    closing.reopen(row.visit, reason="The stator.", by=by, now=NOW())


def pressed(client, name, row, **sent):
    return client.post(reverse(name, args=[row.visit.number, row.pk]), sent, follow=True)


def test_it_goes_into_stock_onto_the_list_if_need_be_and_not_on_the_card(client, late):
    page = client.get(reverse("shop-parts")).text
    assert "Ordered, not here when the card was closed" in page
    assert "No invoice charges it." in page
    assert f"{reverse('desk-booking')}?machine={late.visit.machine_id}" in page
    page = pressed(client, "card-part-came", late, to="stock", back="parts").text
    assert "Ordered, not here when" not in page
    part = StockPart.objects.get()
    assert (part.words, part.count, part.price_each, part.supplier) == ("Stator", 2, Decimal("60.00"), "Lane Parts")
    assert not CardLine.objects.filter(words="Stator").exists()
    assert late.visit.trail.first().did == "put into stock, come too late: 2 Stator"


@pytest.mark.parametrize("is_listed", [True, False])
def test_one_of_the_list_is_added_to_what_lies_there(by, is_listed):
    given = {"place": "Drawer 3", "supplier": "", "price_each": Decimal("60.00"), "count": Decimal(1)}
    stock = parts.add(words="Stator", by=by, now=NOW(), **given)
    row = ordered(ready_to_invoice().visit, by, part=stock)
    if not is_listed:
        parts.take_off(stock, by=by, now=NOW())
    part_orders.into_stock(row, by=by, now=NOW())
    assert [part.count for part in StockPart.objects.filter(is_listed=True)] == [3 if is_listed else 2]


def test_it_comes_once_and_onto_no_closed_card(client, by, late):
    assert "The work of visit" in pressed(client, "card-part-came", late).text
    part_orders.into_stock(late, by=by, now=NOW())
    with pytest.raises(Refused, match="booked in already"):
        part_orders.into_stock(late, by=by, now=NOW())
    with pytest.raises(Refused, match="booked in already"):
        part_orders.order_off(late, by=by, now=NOW())
    assert StockPart.objects.get().count == 2


def test_while_the_card_is_open_it_belongs_there(by, late):
    reopened(late, by)
    with pytest.raises(Refused, match="is open: book it in there"):
        part_orders.into_stock(late, by=by, now=NOW())


def test_wrong_or_never_it_is_ordered_off_from_the_closed_card(client, late):
    assert "Order it off" in client.get(reverse("card", args=[late.visit.number])).text
    pressed(client, "card-part-off", late)
    late.refresh_from_db()
    assert late.off_at
    assert not StockPart.objects.exists()


def test_what_an_invoice_charges_already_leads_to_its_credit_note_for_whoever_handles_money(client, by):
    card = ready_to_invoice()
    CardLine.objects.create(
        card=card, what=CardLine.PART, words="Stator", quantity=1, price_each=Decimal("60.00"), at=NOW(), by=by
    )
    row = ordered(card.visit, by)
    invoice = invoices.issue(card.visit, by=by, now=NOW(), buyer_address="1 Mill Row")
    link = reverse("invoice-credit", args=[invoice.number])
    for page in (reverse("shop-parts"), reverse("card", args=[row.visit.number])):
        shown = client.get(page).text
        assert f"It is charged on invoice {invoice.number}." in shown
        assert link in shown
    client.force_login(garage.person())
    shown = client.get(reverse("card", args=[row.visit.number])).text
    assert "the desk credits its line" in shown
    assert link not in shown


def test_a_visit_that_was_called_off_leaves_its_orders_over_too(client, by, late):
    reopened(late, by)
    Visit.objects.update(state=states.CALLED_OFF)
    assert "It has come: into stock" in client.get(reverse("shop-parts")).text
    part_orders.into_stock(late, by=by, now=NOW())
    assert StockPart.objects.get().count == 2


def test_whoever_closes_a_card_reads_what_has_not_come(client, by, late):
    reopened(late, by)
    shown = client.get(reverse("card", args=[late.visit.number])).text
    assert "Not here yet:" in shown
    assert "2 × Stator. A closed card takes no part" in shown
