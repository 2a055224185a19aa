from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from garage.core.errors import BadInput, Refused
from garage.models.trail import TrailRow
from jobs.changes import cards, part_orders, parts
from jobs.models.parts import StockPart
from jobs.reads.parts import listed_parts, waits_for
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return garage.boss()


@pytest.fixture
def visit(by):
    return jobs.card(by=by).visit


@pytest.fixture
def jet(by):
    return listed(by)


def listed(by, **given):
    values = {"words": "Main jet 98", "place": "Drawer 3", "supplier": "Lane Parts", "count": Decimal(2)}
    return parts.add(**values | {"price_each": Decimal("4.50"), "by": by, "now": timezone.now()} | given)


def take(visit, by, **given):
    values = {"quantity": Decimal(1), "price_each": None, "by": by, "now": timezone.now()}
    return cards.part(visit, **values | given)


def left(part):
    return StockPart.objects.get(pk=part.pk).count


def test_a_part_of_the_list_goes_on_the_card_as_it_is_listed_and_out_of_stock(visit, by, jet):
    line = take(visit, by, stock=jet)
    assert (line.words, line.price_each, line.stock) == ("Main jet 98", Decimal("4.50"), jet)
    assert left(jet) == 1


def test_struck_out_it_is_in_stock_again_once(visit, by, jet):
    line = take(visit, by, stock=jet, quantity=Decimal("1.50"))
    assert left(jet) == Decimal("0.50")
    cards.strike(line, by=by, now=timezone.now())
    with pytest.raises(Refused):
        cards.strike(line, by=by, now=timezone.now())
    assert left(jet) == 2


def test_what_is_not_there_is_not_taken_and_nothing_is_half_done(visit, by, jet):
    with pytest.raises(Refused, match="Main jet 98: 2 in stock, not 3"):
        take(visit, by, stock=jet, quantity=Decimal(3))
    assert left(jet) == 2
    assert not visit.card.lines.exists()


def test_other_words_and_another_price_may_stand_on_the_card_and_a_free_part_needs_both(visit, by, jet):
    line = take(visit, by, stock=jet, words="Main jet 98, polished", price_each=Decimal("6.00"))
    assert (line.words, line.price_each) == ("Main jet 98, polished", Decimal("6.00"))
    with pytest.raises(BadInput, match="price each"):
        take(visit, by, words="Chain")
    with pytest.raises(BadInput, match="words"):
        take(visit, by, price_each=Decimal(1))


def test_what_is_ordered_is_waited_for_until_it_comes_and_then_stands_on_the_card(visit, by, jet):
    given = {"words": "", "quantity": Decimal(4), "price_each": None, "by": by, "now": timezone.now()}
    row = part_orders.order(visit, stock=jet, **given)
    assert [(one.words, one.supplier) for one in waits_for(visit)] == [("Main jet 98", "Lane Parts")]
    part_orders.came(row, by=by, now=timezone.now())
    assert waits_for(visit) == []
    assert visit.card.lines.get().quantity == 4
    assert left(jet) == 2  # in and out again
    with pytest.raises(Refused, match="booked in already"):
        part_orders.came(row, by=by, now=timezone.now())
    with pytest.raises(Refused, match="booked in already"):
        part_orders.order_off(row, by=by, now=timezone.now())


def test_what_is_ordered_off_comes_no_more(visit, by):
    given = {"quantity": Decimal(1), "price_each": Decimal("65.00"), "by": by, "now": timezone.now()}
    row = part_orders.order(visit, words="CDI unit", supplier="Lane Parts", **given)
    part_orders.order_off(row, by=by, now=timezone.now())
    with pytest.raises(Refused, match="ordered off already"):
        part_orders.came(row, by=by, now=timezone.now())
    assert not visit.card.lines.exists()
    assert TrailRow.objects.filter(visit=visit, did="ordered off 1 CDI unit").exists()


def test_a_name_stands_once_on_the_list_and_again_once_the_old_one_is_off(by, jet):
    with pytest.raises(BadInput, match="not on the list yet"):
        listed(by)
    parts.take_off(jet, by=by, now=timezone.now())
    again = listed(by)
    assert list(listed_parts()) == [again]


@pytest.mark.parametrize("given", [{"words": " "}, {"count": Decimal(-1)}, {"price_each": Decimal(10**7)}])
def test_what_cannot_be_is_not_listed(by, given):
    with pytest.raises(BadInput):
        listed(by, **given)


def test_a_new_count_is_kept_with_what_it_was(by, jet):
    values = {"words": jet.words, "place": "", "supplier": "", "price_each": jet.price_each, "count": Decimal(9)}
    parts.alter(jet, **values, by=by, now=timezone.now())
    assert left(jet) == 9
    assert TrailRow.objects.filter(did="changed the part Main jet 98: 9 in stock, before 2").exists()
