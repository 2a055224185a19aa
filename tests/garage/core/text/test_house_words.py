import pytest

from garage.core.text.house_words import without_house_words


@pytest.mark.parametrize(
    ("password", "left"),
    [
        ("mechanic1", "1"),
        ("Tickover2026", "2026"),
        ("BOSS-boss-1234", "--1234"),
        ("quarrylane77", "77"),
        ("frontdesk!", "!"),
        ("rollers9", "9"),
        ("kettle-of-9-crows", "kettle-of-9-crows"),
        ("(.*)+", "(.*)+"),
        ("", ""),
    ],
)
def test_words_of_the_trade_the_roles_and_the_garages_name_count_for_nothing(password, left):
    assert without_house_words(password, "Quarry Lane (of 9)") == left


def test_a_name_that_looks_like_a_pattern_is_a_name():
    assert without_house_words("a(b+c-long-one", "((b+ [x") == "a(b+c-long-one"
