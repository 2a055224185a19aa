"""Numbers as typed, and what is refused as no number or as out of bounds."""

from decimal import Decimal
from fractions import Fraction

import pytest

from garage.core.errors import BadInput
from garage.core.exact import exact


@pytest.mark.parametrize(
    ("found", "value"),
    [
        (0.1, Fraction(1, 10)),
        (17.9, Fraction(179, 10)),
        (1e-3, Fraction(1, 1000)),
        (Decimal("0.10"), Fraction(1, 10)),
        (Fraction(1, 3), Fraction(1, 3)),
        (-7, Fraction(-7)),
    ],
)
def test_a_number_counts_as_it_was_typed(found, value):
    assert exact("drift_deg", found, "degrees") == value


@pytest.mark.parametrize(
    "found", [True, False, None, "1", [1], 1j, float("nan"), float("inf"), float("-inf"), Decimal("NaN")]
)
def test_what_is_no_finite_number_is_refused_naming_its_field(found):
    with pytest.raises(BadInput) as refused:
        exact("drift_deg", found, "degrees")
    told = refused.value
    assert (told.where, told.allowed) == ("drift_deg", "degrees")
    assert told.found is found


@pytest.mark.parametrize("bound", [Decimal("0.3"), Fraction(3, 10)])
def test_the_least_and_the_most_are_allowed_and_what_lies_above_a_bound_is_not_the_bound(bound):
    assert exact("gap_mm", 0.3, "mm", least=bound, most=bound) == Fraction(3, 10)
    assert exact("gap_mm", Decimal("0.3001"), "mm", above=bound) > Fraction(3, 10)
    for found, limits in ((0.2999, {"least": bound}), (0.3001, {"most": bound}), (0.3, {"above": bound})):
        with pytest.raises(BadInput) as refused:
            exact("gap_mm", found, "mm", **limits)
        assert (refused.value.where, refused.value.found, refused.value.allowed) == ("gap_mm", found, "mm")


def test_each_bound_is_kept_beside_the_others():
    for found in (1, 5):
        assert exact("teeth", found, "1 to 5", least=1, most=5, above=0) == found
    for found in (0, 6):
        with pytest.raises(BadInput):
            exact("teeth", found, "1 to 5", least=1, most=5, above=-1)
    with pytest.raises(BadInput):
        exact("teeth", 1, "above 1, to 5", least=0, most=5, above=1)
