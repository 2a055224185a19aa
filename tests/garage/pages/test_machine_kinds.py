"""A machine kind in the owner's list."""

import pytest

from garage.models.owners import MachineKind
from garage.pages.machine_kinds import kind_words


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (1979, 1986, "Corrick 185, 1979 to 1986"),
        (1979, None, "Corrick 185, from 1979"),
        (None, 1986, "Corrick 185, to 1986"),
        (None, None, "Corrick 185"),
    ],
)
def test_two_editions_of_a_model_are_told_apart_by_their_years(first, last, words):
    assert kind_words(MachineKind(make="Corrick", model="185", first_year=first, last_year=last)) == words
