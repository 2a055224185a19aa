import pytest

from jobs.core.search_words import MOST_WORDS, sought


@pytest.mark.parametrize(
    "typed",
    ["01632 960123", "01632960123", "+44 1632 960123", "+44 (0)1632 960123", "0044 1632 960123", "(01632) 960-123"],
)
def test_a_telephone_number_is_the_same_however_it_is_written(typed):
    assert sought(typed, "44").telephone == "1632960123"


def test_the_end_of_a_telephone_number_is_enough_and_a_few_digits_are_none():
    assert sought("960123", "44").telephone == "960123"
    assert sought("9601", "44").telephone == ""
    assert sought("Robin 960123", "44").telephone == ""


@pytest.mark.parametrize("typed", ["07700", "+44 7700", "0044 7700", "(07700)"])
def test_the_code_that_a_telephone_number_begins_with_is_enough(typed):
    assert sought(typed, "44").telephone == "7700"


@pytest.mark.parametrize("typed", ["0770", "+44 770", "7700", "0", "+44"])
def test_less_than_a_code_is_no_telephone_number(typed):
    assert sought(typed, "44").telephone == ""


@pytest.mark.parametrize("typed", ["41", "#41", "visit 41", "Invoice 41", "card 41", "no. 41", " 41 "])
def test_a_number_is_one_with_or_without_its_word(typed):
    assert sought(typed, "44").number == 41


@pytest.mark.parametrize("typed", ["", "Ash", "41 b", "4" * 30, "-41", "٤١"])
def test_what_is_no_number_is_none(typed):
    assert sought(typed, "44").number is None


@pytest.mark.parametrize("typed", ["AB12 CDE", "ab12cde", "ab-12-cde"])
def test_a_registration_is_the_same_however_it_is_spaced(typed):
    assert sought(typed, "44").registration.casefold() == "ab12cde"


def test_a_name_is_no_registration_and_words_are_few():
    assert sought("Robin", "44").registration == ""
    assert sought("a " * 50, "44").words == ("a",) * MOST_WORDS
