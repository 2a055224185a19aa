"""An estimate comes to what an invoice with the same lines comes to; and where it stands with its owner."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garage.core.errors import BadInput, Refused
from jobs.core.billing.charges import Part, Work, charges
from jobs.core.billing.estimate import (
    KIND_WORDS,
    MOST_LINES,
    EstimateFacts,
    EstimateLine,
    EstimateState,
    check_valid_until,
    read_kept,
    standing,
    totals_of,
    why_not_answer,
    why_not_take_over,
)
from jobs.core.billing.invoice import total_with_vat, total_without_vat

RATE = Decimal(20)
TODAY = date(2026, 3, 10)
FACTS = EstimateFacts(
    name="Estimate E4",
    is_issued=True,
    answer="",
    is_replaced=False,
    is_withdrawn=False,
    is_over=False,
    valid_until=date(2026, 3, 12),
    day=TODAY,
)


def line(price, quantity="1", kind="part", **more):
    return EstimateLine("a", kind, "words", Decimal(quantity), Decimal(price), **more)


def come_to(*lines, is_registered=True):
    return totals_of(lines, shop_percent=RATE, is_registered=is_registered)


# The invoice of tests/jobs/core/billing/test_invoice.py, worked by hand to the rules of EN 16931 (CO-10 to CO-17).
def test_the_published_invoice_is_matched_by_an_estimate_with_its_lines():
    bill = come_to(line("72.00", "1.5", "labour"), line("7.99"), line("3.06", "3", "extra"))
    assert (bill.net, bill.vat, bill.gross) == (Decimal("104.31"), Decimal("20.86"), Decimal("125.17"))


# HMRC's VAT fraction, a sixth at 20 % and half up, taken once a rate: three of 0.99 hold 0.50, not 0.51.
@pytest.mark.parametrize(("gross", "many", "vat"), [("250.00", 1, "41.67"), ("99.99", 1, "16.67"), ("0.99", 3, "0.50")])
def test_vat_is_rounded_as_on_invoices(gross, many, vat):
    assert come_to(*[line(gross)] * many).vat == Decimal(vat)


def test_rates_of_their_own_exempt_and_no_vat_at_all_are_as_on_invoices():
    lines = (line("120.00"), line("10.50", vat_percent=Decimal(5)), line("7.00", exempt_why="Group 6"))
    lines = (*lines[:2], replace(lines[2], vat_percent=Decimal(0)))
    assert [(rate.percent, rate.category) for rate in come_to(*lines).by_rate] == [(20, "S"), (5, "S"), (0, "E")]
    assert come_to(*lines, is_registered=False).vat == 0


amounts = st.builds(
    EstimateLine,
    st.just("a"),
    st.sampled_from(["labour", "part", "extra"]),
    st.just("words"),
    st.decimals("0.01", "20", places=2),
    st.decimals("0", "500", places=2),
    st.sampled_from([None, None, Decimal(5), Decimal(0)]),
)


def invoiced(lines, is_registered):
    """As they are invoiced once they are taken over: what goes on the card first, then the lines by hand."""
    parts = tuple(Part(one.words, one.quantity, one.price_each) for one in lines if one.goes_on_the_card)
    work = Work(
        kind="Set-up",
        at="roller",
        booked_minutes=90,
        price=Decimal(120),
        was_held=False,
        labour=(),
        in_price=(),
        labour_per_hour=Decimal(54),
        parts=parts,
        vat_percent=RATE if is_registered else Decimal(0),
    )
    by_hand = [one.charge(RATE) for one in lines if not one.goes_on_the_card]
    total = total_with_vat if is_registered else total_without_vat
    return total([charge.line for charge in (*charges(work), *by_hand)])


@settings(max_examples=60, deadline=None)
@given(st.lists(amounts, min_size=1, max_size=6), st.booleans())
def test_turned_into_an_invoice_unchanged_it_comes_to_the_same(lines, is_registered):
    estimate, invoice = come_to(*lines, is_registered=is_registered), invoiced(lines, is_registered)
    assert (estimate.net, estimate.vat, estimate.gross) == (invoice.net, invoice.vat, invoice.gross)
    assert estimate.by_rate == invoice.by_rate
    assert sum(each.net for each in estimate.lines) == estimate.net


def test_a_line_is_the_same_after_it_was_kept():
    for one in (line("1.50"), line("-2.00", kind="discount", vat_percent=Decimal("17.50")), line("3", stock_id=7)):
        assert read_kept(one.as_kept) == one


@pytest.mark.parametrize(
    "wrong",
    [
        line("1.00", "1e12"),
        line("1.00", "0"),
        line("1.00", "-1"),
        line("1.00", "NaN"),
        line("1.00", "0.12345"),
        line("1.00001"),
        line("-1.00"),
        line("1.00", kind="discount"),
        line("1.00", kind="tip"),
        replace(line("1.00"), words=" "),
        replace(line("1.00"), words="x" * 161),
    ],
    ids=lambda one: f"{one.kind} {one.quantity} {one.price_each}",
)
def test_what_is_no_line_of_an_invoice_is_none_of_an_estimate(wrong):
    with pytest.raises(BadInput):
        come_to(wrong)


def test_no_lines_too_many_too_much_and_more_off_than_the_rest_are_refused_in_a_sentence():
    off = line("-10.00", kind="discount")
    for lines, said in (
        ((), "put at least one line"),
        ([line("1.00")] * (MOST_LINES + 1), "at most 60 lines"),
        ([line("999999.99", "9999")], "slip of the keys"),
        ([line("9.99"), off], "take less off"),
    ):
        with pytest.raises(Refused, match=said):
            come_to(*lines)


@pytest.mark.parametrize(("day", "is_good"), [(9, False), (10, True), (31, True)])
def test_it_is_valid_until_a_day_that_is_not_past(day, is_good):
    if is_good:
        check_valid_until(date(2026, 3, day), today=TODAY)
    else:
        with pytest.raises(BadInput, match="a year from now"):
            check_valid_until(date(2026, 3, day), today=TODAY)
    with pytest.raises(BadInput):
        check_valid_until(date(2027, 3, 11), today=TODAY)


@pytest.mark.parametrize(
    ("given_facts", "stands"),
    [
        ({}, EstimateState.OPEN),
        ({"day": date(2026, 3, 12)}, EstimateState.OPEN),
        ({"day": date(2026, 3, 13)}, EstimateState.RAN_OUT),
        ({"is_issued": False}, EstimateState.DRAFT),
        ({"answer": "yes"}, EstimateState.YES),
        ({"answer": "yes", "day": date(2026, 3, 13), "is_over": True}, EstimateState.YES),
        ({"answer": "yes", "is_replaced": True}, EstimateState.REPLACED),
        ({"answer": "no"}, EstimateState.NO),
        ({"is_replaced": True}, EstimateState.REPLACED),
        ({"is_withdrawn": True}, EstimateState.WITHDRAWN),
        ({"is_over": True}, EstimateState.LAPSED),
    ],
)
def test_where_it_stands_and_whether_it_takes_an_answer(given_facts, stands):
    facts = replace(FACTS, **given_facts)
    assert standing(facts) is stands
    assert bool(why_not_answer(facts, "01632 960100")) is (stands is not EstimateState.OPEN)


def test_one_that_ran_out_says_until_when_it_was_good_and_what_to_do():
    said = why_not_answer(replace(FACTS, day=date(2026, 4, 1)), "01632 960100")
    assert said == "Estimate E4 was valid until Thursday 12 March 2026: ring 01632 960100 and ask for it anew."


def test_only_a_yes_is_taken_over_and_once():
    for stands in EstimateState:
        assert bool(why_not_take_over(stands, is_taken=False, name="Estimate E4")) is (stands is not EstimateState.YES)
    assert "already" in why_not_take_over(EstimateState.YES, is_taken=True, name="Estimate E4")


def test_every_kind_of_line_is_one_that_an_invoice_takes():
    for kind in KIND_WORDS:
        price = "-1.00" if kind in ("discount", "goodwill", "warranty") else "1.00"
        assert line(price, kind=kind).charge(RATE).line.gross == Decimal(price)
