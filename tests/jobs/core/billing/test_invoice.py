"""Invoice totals against published figures, and that they add up whatever the lines."""

from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from garage.core.errors import BadInput, Refused
from jobs.core.billing.invoice import BilledLine, Line, may_be_simplified, total_with_vat, total_without_vat

NAN = Decimal("NaN")
QUANTITY = "a number above 0, at most 999999, with at most two decimals"
DEPOSIT = "0 or more, in whole pence"


def line(price, quantity="1", kind="part", percent="20"):
    return Line(kind, "words", Decimal(quantity), Decimal(price), Decimal(percent))


# Worked by hand to the rules of EN 16931 (CO-10 to CO-17): lines 1.5 x 60.00, 2 x 3.33 and 3 x 2.55 without VAT make
# 104.31 + 20.86 = 125.17; here the same lines as owners are quoted them, VAT included.
def test_a_published_invoice_is_matched_from_its_gross_prices():
    bill = total_with_vat([line("72.00", "1.5", "labour"), line("7.99"), line("3.06", "3")])
    assert (bill.net, bill.vat, bill.gross) == (Decimal("104.31"), Decimal("20.86"), Decimal("125.17"))


# HMRC's VAT fraction, a sixth at 20 % and half up: 250.00 holds 41.67, 99.99 holds 16.67 (recomputed outside).
@pytest.mark.parametrize(("gross", "vat"), [("250.00", "41.67"), ("99.99", "16.67"), ("12.34", "2.06")])
def test_the_vat_fraction_is_taken_out_of_the_sum(gross, vat):
    assert total_with_vat([line(gross)]).vat == Decimal(vat)


def test_vat_is_taken_once_a_rate_and_not_once_a_line():
    # Three lines of 0.99: a sixth of 2.97 is 0.495, so 0.50; by line 0.165 rounds to 0.17, three of which are 0.51.
    assert total_with_vat([line("0.99")] * 3).vat == Decimal("0.50")


def test_rates_are_told_apart_highest_first():
    bill = total_with_vat([line("10.00", percent="0"), line("120.00"), line("10.50", percent="5")])
    assert [(rate.percent, rate.net, rate.vat) for rate in bill.by_rate] == [
        (20, Decimal("100.00"), Decimal("20.00")),
        (5, Decimal("10.00"), Decimal("0.50")),
        (0, Decimal("10.00"), Decimal("0.00")),
    ]


def test_exempt_and_zero_rated_are_two_sums_and_every_line_says_what_it_is():
    exempt = Line("other", "words", Decimal(1), Decimal("7.00"), Decimal(0), is_exempt=True)
    bill = total_with_vat([line("120.00"), line("10.00", percent="0"), exempt])
    assert [each.vat_category for each in bill.lines] == ["S", "Z", "E"]
    assert [(rate.percent, rate.category, rate.gross) for rate in bill.by_rate] == [
        (20, "S", Decimal("120.00")),
        (0, "E", Decimal("7.00")),
        (0, "Z", Decimal("10.00")),
    ]


def test_what_is_exempt_carries_no_rate():
    with pytest.raises(BadInput) as caught:
        Line("other", "words", Decimal(1), Decimal("7.00"), Decimal(20), is_exempt=True)
    assert (caught.value.where, caught.value.allowed) == ("VAT rate", "0 per cent on what is exempt from VAT")


def test_a_shop_that_is_not_registered_has_no_vat():
    bill = total_without_vat([line("60.00", "1.25", "labour")], deposit=Decimal("20.00"))
    assert (bill.net, bill.vat, bill.gross, bill.by_rate) == (Decimal("75.00"), 0, Decimal("75.00"), ())
    assert bill.deposit == Decimal("20.00")


# SI 1995/2518 reg. 16A: not over 250 pounds with VAT.
@pytest.mark.parametrize(("gross", "allowed"), [("249.99", True), ("250.00", True), ("250.01", False)])
def test_the_short_form_ends_at_250_pounds(gross, allowed):
    assert may_be_simplified(total_with_vat([line(gross)]).gross) is allowed


lines = st.lists(
    st.builds(
        Line,
        st.sampled_from(["labour", "part", "roller", "other"]),
        st.just("words"),
        st.decimals("0.01", "20", places=2),
        st.decimals("0", "500", places=2),
        st.sampled_from([Decimal(20), Decimal(5), Decimal(0), Decimal("17.5")]),
    ),
    min_size=1,
    max_size=6,
)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(lines, st.decimals("0", "900", places=2), st.sampled_from([total_with_vat, total_without_vat]))
def test_totals_always_add_up(lines, deposit, total):
    bill = total(lines, deposit)
    assert bill.net + bill.vat == bill.gross == sum(each.gross for each in lines)
    assert sum(each.net for each in bill.lines) == bill.net
    assert sum(each.vat for each in bill.lines) == bill.vat
    assert all(each.net + each.vat == each.gross == each.line.gross for each in bill.lines)
    assert all(rate.net + rate.vat == rate.gross for rate in bill.by_rate)
    assert bill.deposit == deposit
    if total is total_with_vat:
        assert (sum(rate.net for rate in bill.by_rate), sum(rate.vat for rate in bill.by_rate)) == (bill.net, bill.vat)
        for rate in bill.by_rate:  # once rounded: half a penny at most from the VAT fraction
            exact = rate.gross * rate.percent / (100 + rate.percent)
            assert abs(rate.vat - exact) <= Decimal("0.00500001")
        for each in bill.lines:  # a line's share stays within a penny of its own VAT
            own = each.gross * each.line.vat_percent / (100 + each.line.vat_percent)
            assert abs(each.vat - own) <= Decimal("0.01000001")


def test_money_off_is_a_line_of_its_own_and_cannot_exceed_the_rest():
    off = line("-10.00", kind="other")
    assert total_with_vat([line("60.00"), off]).gross == Decimal("50.00")
    for total in (total_with_vat, total_without_vat):
        with pytest.raises(Refused, match="credit note"):
            total([line("9.99"), off])


def test_money_off_may_come_to_the_whole_price():
    off = line("-10.00", kind="other")
    for total in (total_with_vat, total_without_vat):
        assert total([line("10.00"), off]).gross == 0


def test_money_off_that_exceeds_the_rest_names_the_rate_and_the_sum():
    said = "come to -£0.01: take less off, or give"
    off = line("-10.00", kind="other", percent="17.50")
    with pytest.raises(Refused, match=rf"^The lines at 17.5 % VAT {said} the money back with a credit note\.$"):
        total_with_vat([line("60.00"), line("9.99", percent="17.50"), off])
    with pytest.raises(Refused, match=rf"^The lines {said} it back with a credit note\.$"):
        total_without_vat([line("9.99"), off])


def test_the_lines_of_one_rate_share_its_net_and_vat_in_their_order():
    # Three lines of 0.99: VAT of 0.99, 1.98 and 2.97 is 0.17, 0.33 and 0.50 (a sixth, half up), so each adds its step.
    lines = [line("0.99"), line("5.00", percent="0"), line("0.99"), line("0.99")]
    shares = [(each.net, each.vat, each.gross) for each in total_with_vat(lines).lines]
    steps = [("0.82", "0.17", "0.99"), ("5.00", "0.00", "5.00"), ("0.83", "0.16", "0.99"), ("0.82", "0.17", "0.99")]
    assert shares == [tuple(Decimal(each) for each in step) for step in steps]


def test_each_line_of_a_shop_that_is_not_registered_is_all_net():
    one = line("60.00", "1.25", "labour")
    assert total_without_vat([one]).lines == (BilledLine(one, Decimal("75.00"), Decimal(0), Decimal("75.00"), "O"),)


def test_a_line_reaches_to_its_limits():
    assert line("1.00", "999999").gross == Decimal("999999.00")
    assert line("1.00", "0.01").gross == Decimal("0.01")
    assert line("0").gross == 0
    assert total_with_vat([line("2.00", percent="100")]).vat == Decimal("1.00")
    assert Line("part", "words", Decimal(1), Decimal(6)).vat_percent == 20


@pytest.mark.parametrize(
    ("make", "where", "found", "allowed"),
    [
        (lambda: line("1", kind="gift"), "kind", "gift", "labour, part, roller, other"),
        (lambda: Line("part", "  ", Decimal(1), Decimal(1)), "words", "  ", "a few words to say what it is"),
        (lambda: line("1", "0"), "quantity", 0, QUANTITY),
        (lambda: line("1", "-1"), "quantity", -1, QUANTITY),
        (lambda: line("1", "1.005"), "quantity", Decimal("1.005"), QUANTITY),
        (lambda: line("1", "NaN"), "quantity", NAN, QUANTITY),
        (lambda: line("1", "1000000"), "quantity", 1000000, QUANTITY),
        (lambda: line("1", "999999.01"), "quantity", Decimal("999999.01"), QUANTITY),
        (lambda: line("1.005"), "price", Decimal("1.005"), "pounds and whole pence"),
        (lambda: line("Infinity"), "price", Decimal("Infinity"), "pounds and whole pence"),
        (lambda: line("-1"), "price", -1, "0 or more (money off goes on a line of kind other)"),
        (lambda: line("1", percent="-5"), "VAT rate", -5, "0 to 100 per cent"),
        (lambda: line("1", percent="100.01"), "VAT rate", Decimal("100.01"), "0 to 100 per cent"),
        (lambda: line("1", percent="NaN"), "VAT rate", NAN, "0 to 100 per cent"),
        (lambda: total_with_vat([]), "lines", None, "at least one line"),
        (lambda: total_without_vat([]), "lines", None, "at least one line"),
        (lambda: total_with_vat([line("1")], Decimal("-0.01")), "deposit", Decimal("-0.01"), DEPOSIT),
        (lambda: total_with_vat([line("1")], Decimal("0.001")), "deposit", Decimal("0.001"), DEPOSIT),
        (lambda: total_with_vat([line("1")], Decimal("NaN")), "deposit", NAN, DEPOSIT),
    ],
)
def test_bad_input_is_named(make, where, found, allowed):
    with pytest.raises(BadInput) as refused:
        make()
    assert (refused.value.where, refused.value.allowed) == (where, allowed)
    assert str(refused.value.found) == str(found)  # not a number equals nothing, itself included
