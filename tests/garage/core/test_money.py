"""Money against HMRC's published rounding rules (VATREC12010, VATREC12030, VAT Notice 700 para 17.5)."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garage.core import money
from garage.core.errors import BadInput

TWENTY = Decimal(20)
amounts = st.decimals("-99999.99", "999999.99", places=2)


# VAT inside a gross price at 20 % is a sixth; half up (recomputed outside the project; 99.99 is 16.665).
@pytest.mark.parametrize(("gross", "vat"), [("250.00", "41.67"), ("99.99", "16.67"), ("12.34", "2.06")])
def test_vat_in_a_gross_price(gross, vat):
    assert money.vat_in(Decimal(gross), TWENTY) == Decimal(vat)
    assert money.net_in(Decimal(gross), TWENTY) + Decimal(vat) == Decimal(gross)


@settings(deadline=None)
@given(amounts, st.sampled_from([Decimal(0), Decimal(5), Decimal("12.5"), Decimal(20)]))
def test_vat_is_within_half_a_penny_of_the_exact_fraction(gross, percent):
    exact = Fraction(gross) * Fraction(percent) / (100 + Fraction(percent))
    assert abs(Fraction(money.vat_in(gross, percent)) - exact) <= Fraction(1, 200)
    assert money.net_in(gross, percent) + money.vat_in(gross, percent) == gross


@settings(deadline=None)
@given(amounts.filter(lambda amount: amount >= 0))
def test_what_is_shown_can_be_typed_again(amount):
    assert money.pounds(money.pounds_words(amount)) == amount
    assert money.from_pence(money.to_pence(amount)) == amount


@pytest.mark.parametrize(
    ("typed", "amount"),
    [
        ("85", "85.00"),
        ("1,250.00", "1250.00"),
        ("£ 1250.5", "1250.50"),
        ("0", "0.00"),
        ("007.10", "7.10"),
        (" 999,999.99\n", "999999.99"),
    ],
)
def test_amounts_as_people_type_them(typed, amount):
    assert str(money.pounds(typed)) == amount


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "£",
        "12,50",
        "1,25",
        "1,2500",
        ",250",
        "12.345",
        "12.",
        ".50",
        "-5",
        "1e3",
        "1 250",
        "£££5",
        "NaN",
        "Infinity",
        "1000000",
        "1000000000000",
        "٣",
        "5 pounds",
        "1_000",
    ],
)
def test_an_invalid_amount_is_refused_and_named(typed):
    with pytest.raises(BadInput) as refused:
        money.pounds(typed, "deposit")
    allowed = "an amount in pounds from 0 to 999,999.99, such as 85 or 1,250.00"
    assert (refused.value.where, refused.value.found, refused.value.allowed) == ("deposit", typed, allowed)


def test_an_amount_whose_field_has_no_name_is_called_an_amount():
    with pytest.raises(BadInput, match=r"^amount is 'ten'; allowed is an amount in pounds"):
        money.pounds("ten")


def test_rounding_is_the_same_distance_on_both_sides_of_nothing():
    assert money.to_penny(Decimal("2.675")) == Decimal("2.68")
    assert money.to_penny(Decimal("-2.675")) == Decimal("-2.68")
    assert money.pounds_words(Decimal("-0.004")) == "£0.00"


@pytest.mark.parametrize("percent", [Decimal(-1), Decimal("100.01")])
def test_a_rate_outside_0_to_100_is_refused(percent):
    with pytest.raises(BadInput, match=rf"^VAT rate is {percent}; allowed is 0 to 100 per cent\.$"):
        money.vat_in(Decimal(1), percent)


def test_the_rate_may_be_as_high_as_the_net_price_itself():
    assert money.vat_in(Decimal("10.00"), Decimal(100)) == Decimal("5.00")
