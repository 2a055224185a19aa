from __future__ import annotations

from decimal import Decimal

import pytest

from jobs.core.billing.agreed import Agreed, AskedState, standing, why_not_answer


def agreed(**given):
    return Agreed(**{"booked": Decimal("95.00"), "limit": Decimal(120)} | given)


def test_what_is_agreed_is_the_price_booked_the_limit_and_each_yes():
    assert agreed(yeses=(Decimal("40.00"), Decimal("0.50"))).total == Decimal("255.50")


@pytest.mark.parametrize(
    ("gross", "above"), [("215.00", "0.00"), ("215.01", "0.01"), ("0.00", "0.00"), ("-10.00", "0.00")]
)
def test_only_what_goes_beyond_it_is_above_what_was_agreed(gross, above):
    assert agreed().above(Decimal(gross)) == Decimal(above)


def test_an_invoice_of_a_penny_more_is_not_issued_and_the_sentence_names_the_sums():
    assert agreed().why_not_issue(Decimal("215.00")) == ""
    why = agreed().why_not_issue(Decimal("215.01"))
    assert "£215.01" in why
    assert "£215.00" in why
    assert "£0.01 more" in why


def test_what_was_let_through_goes_as_far_as_that_and_no_further():
    let = agreed(let_through=Decimal("300.00"))
    assert let.why_not_issue(Decimal("395.00")) == ""
    assert let.why_not_issue(Decimal("395.01"))


def test_what_was_let_through_takes_nothing_from_what_was_agreed():
    assert agreed(let_through=Decimal("1.00")).why_not_issue(Decimal("215.00")) == ""


@pytest.mark.parametrize(
    ("answer", "is_replaced", "is_over", "stands"),
    [
        ("", False, False, AskedState.OPEN),
        ("", True, False, AskedState.REPLACED),
        ("", False, True, AskedState.LAPSED),
        ("", True, True, AskedState.REPLACED),
        ("yes", False, True, AskedState.YES),
        ("no", False, False, AskedState.NO),
        ("lapsed", False, False, AskedState.LAPSED),
    ],
)
def test_a_request_stands_where_answer_and_card_say(answer, is_replaced, is_over, stands):
    assert standing(answer=answer, is_replaced=is_replaced, is_over=is_over) is stands
    assert bool(why_not_answer(41, stands, "01632 960100")) is (stands is not AskedState.OPEN)
