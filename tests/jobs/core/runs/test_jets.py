from __future__ import annotations

import pytest

from garage.core.errors import BadInput
from jobs.core.runs.jets import is_main_jet, is_plug_read, is_smaller, size_of


@pytest.mark.parametrize("words", ["Main jet", "MAIN", "main jet, left", "mj right"])
def test_a_main_jet_is_known_by_its_name(words):
    assert is_main_jet(words)


@pytest.mark.parametrize("words", ["Idle jet", "pilot", "needle", "remaining jet", ""])
def test_another_jet_is_not_taken_for_one(words):
    assert not is_main_jet(words)


@pytest.mark.parametrize(("before", "after"), [("102", "98"), ("No. 98", "97.5"), ("1.02 mm", "98"), ("102", "0,98")])
def test_a_smaller_one_is_seen_whichever_way_the_sizes_are_written(before, after):
    assert is_smaller(before=before, after=after)
    assert not is_smaller(before=after, after=before)


def test_the_same_size_and_one_that_only_comes_out_are_not_smaller():
    assert not is_smaller(before="98", after="98")
    assert not is_smaller(before="98", after="")


def test_what_cannot_be_compared_is_asked_for():
    with pytest.raises(BadInput, match="Main jet put in is 'the small one'; allowed is its size as a number"):
        is_smaller(before="98", after="the small one")
    with pytest.raises(BadInput, match="Main jet taken out is missing; allowed is its size"):
        is_smaller(before="", after="98")


def test_sizes_below_ten_are_bores_in_millimetres():
    assert size_of("9.99") == 999.0
    assert size_of("10") == 10.0


def test_a_plug_is_read_by_any_line_that_names_it():
    assert is_plug_read(["Spark plug: tan"])
    assert not is_plug_read([])
