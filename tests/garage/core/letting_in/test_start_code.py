from datetime import UTC, datetime, timedelta

from garage.core.letting_in.start_code import COUNTS_FOR, LETTERS, as_typed, counts, new_code

NOW = datetime(2027, 3, 10, 8, tzinfo=UTC)


def test_a_code_is_three_groups_of_four_letters_as_they_are_chosen():
    given = iter(LETTERS)
    assert new_code(lambda letters: next(given)) == "2345-6789-ABCD"


def test_letters_that_are_mistaken_for_one_another_are_not_among_them():
    assert set(LETTERS).isdisjoint("0O1ILU")
    assert len(set(LETTERS)) == len(LETTERS) >= 29


def test_a_code_is_read_whatever_its_spaces_dashes_and_size_of_letters():
    assert as_typed(" 2345 6789-abcd\t") == as_typed("2345-6789-ABCD") == "23456789ABCD"


def test_a_code_counts_for_a_day():
    assert counts(NOW, NOW + COUNTS_FOR - timedelta(seconds=1))
    assert not counts(NOW, NOW + COUNTS_FOR)
    assert timedelta(days=1) == COUNTS_FOR
