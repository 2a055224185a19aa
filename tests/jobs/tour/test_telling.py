"""The tour says only what it has read back, and stops where that is not what it must be."""

import pytest

from jobs.tour.facts import another_owner, of_seed
from jobs.tour.telling import Mismatch, Telling, read_back

PAPER = "Total including VAT\n  £120.00\nDeposit paid −£30.00"


def test_a_value_is_read_back_unchanged():
    assert read_back("total", "the invoice", PAPER, r"Total including VAT (£[\d.]+)", "£120.00") == "£120.00"


def test_another_value_stops_the_tour_and_says_which():
    with pytest.raises(Mismatch, match=r'The total on the invoice is "£120.00", and must be "£121.00"'):
        read_back("total", "the invoice", PAPER, r"Total including VAT (£[\d.]+)", "£121.00")


def test_a_value_that_is_not_there_stops_the_tour_too():
    with pytest.raises(Mismatch, match="The total is not found on the invoice"):
        read_back("total", "the invoice", "", r"Total including VAT (£[\d.]+)", "£120.00")


def test_a_sentence_without_a_value_read_back_is_refused():
    said = []
    telling = Telling(said.append)
    with pytest.raises(ValueError, match="holds what was read back"):
        telling.says("All is well.")
    telling.says("It comes to {}.", "£120.00")
    assert said == ["  It comes to £120.00."]


def test_a_seed_decides_everything_and_other_seeds_differ():
    assert of_seed(5) == of_seed(5)
    assert len({of_seed(seed).name for seed in range(30)}) > 10
    assert len({of_seed(seed).price for seed in range(30)}) > 5
    assert len({of_seed(seed).booked_on for seed in range(30)}) > 20


def test_the_other_owner_comes_to_the_same_garage_with_another_name_and_machine():
    for seed in range(30):
        first, other = of_seed(seed), another_owner(seed)
        assert other == another_owner(seed)
        assert (other.booked_on, other.price, other.labour_per_hour) == (
            first.booked_on,
            first.price,
            first.labour_per_hour,
        )
        assert {first.name, first.email, first.machine}.isdisjoint({other.name, other.email, other.machine})
