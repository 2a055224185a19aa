"""Packer thicknesses as they are said."""

from decimal import Decimal

import pytest

from garage.core.text.packer_words import mm_words, stack_words


@pytest.mark.parametrize(
    ("thickness", "words"),
    [("0.80", "0.8 mm"), ("0.25", "0.25 mm"), ("1.00", "1 mm"), ("10", "10 mm"), ("100.0", "100 mm")],
)
def test_a_thickness_has_no_trailing_zeros_and_no_exponent(thickness, words):
    assert mm_words(Decimal(thickness)) == words


@pytest.mark.parametrize(
    ("stack", "words"),
    [
        (["0.50"], "0.5 mm"),
        (["0.5", "0.80"], "0.8 and 0.5 mm"),
        (["0.25", "1.00", "0.5", "0.8"], "1, 0.8, 0.5 and 0.25 mm"),
    ],
)
def test_a_stack_is_told_thickest_first_with_its_unit_once(stack, words):
    assert stack_words(Decimal(each) for each in stack) == words
