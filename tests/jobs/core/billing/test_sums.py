"""The sums at the foot of an invoice, and what is left of it."""

from decimal import Decimal

import pytest

from jobs.core.billing.invoice import Line, total_with_vat, total_without_vat
from jobs.core.billing.sums import left_to_pay, sums_of


def bill(total, **given):
    return total([Line("roller", "set-up", Decimal(1), Decimal("250.00"))], **given)


def test_the_sums_of_a_registered_shop_name_each_rate():
    sums = sums_of(bill(total_with_vat, deposit=Decimal("50.00")))
    assert [(rate.percent, rate.net, rate.vat, rate.gross) for rate in sums.rates] == [
        ("20", Decimal("208.33"), Decimal("41.67"), Decimal("250.00"))
    ]
    assert (sums.gross, sums.left) == (Decimal("250.00"), Decimal("200.00"))


def test_a_shop_that_is_not_registered_has_no_rates():
    sums = sums_of(bill(total_without_vat))
    assert (sums.rates, sums.vat, sums.left) == ((), Decimal(0), Decimal("250.00"))


@pytest.mark.parametrize(
    ("deposit", "payments", "left"),
    [("0", [], "100.00"), ("30", ["50", "-5"], "25.00"), ("125", [], "-25.00"), ("125", ["-25"], "0.00")],
)
def test_what_is_left_goes_by_deposit_and_payments_and_may_be_owed_back(deposit, payments, left):
    assert left_to_pay(Decimal(100), Decimal(deposit), [Decimal(one) for one in payments]) == Decimal(left)
