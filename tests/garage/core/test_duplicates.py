import pytest

from garage.core.duplicates import Contact, LikelyDuplicates, digits_of, likely_duplicates

NUMBERS = {"07700 900123": "700900123", "+44 7700 900123": "700900123", "0044 (0)7700-900123": "700900123", "": ""}


def contact(number, name="", email="", telephone=""):
    return Contact(number, name or f"Owner {number}", email, telephone)


@pytest.mark.parametrize(("typed", "digits"), NUMBERS.items())
def test_a_number_is_the_same_however_it_is_typed(typed, digits):
    assert digits_of(typed) == digits


def test_too_few_digits_cannot_distinguish_anything():
    assert digits_of("900123") == ""
    assert likely_duplicates([contact(1, telephone="900123"), contact(2, telephone="900123")]) == []


def test_owners_who_share_nothing_are_no_duplicates():
    assert likely_duplicates([contact(1, email="a@example.org"), contact(2, email="b@example.org")]) == []


def test_empty_fields_are_not_shared():
    assert likely_duplicates([contact(1), contact(2)]) == []


@pytest.mark.parametrize(
    ("field", "one", "other", "shared"),
    [
        ("email", "Pat@Example.org ", "pat@example.org", "email address"),
        ("telephone", "07700 900123", "+447700900123", "telephone number"),
        ("name", "Pat  Lane", "pat lane", "name"),
    ],
)
def test_each_sign_is_seen_through_its_spelling(field, one, other, shared):
    found = likely_duplicates([contact(1, **{field: one}), contact(2, **{field: other})])
    assert found == [LikelyDuplicates((1, 2), (shared,))]


def test_signs_chain_over_a_third_record_and_strong_signs_are_said_first():
    found = likely_duplicates(
        [
            contact(3, name="Pat Lane", telephone="07700 900123"),
            contact(1, name="Pat Lane", email="p@example.org"),
            contact(2, email="p@example.org"),
            contact(9, email="q@example.org"),
        ]
    )
    assert found == [LikelyDuplicates((1, 2, 3), ("email address", "name"))]


def test_the_order_of_records_changes_nothing():
    records = [contact(n, email=f"{n // 2}@example.org") for n in range(1, 8)]
    assert likely_duplicates(records) == likely_duplicates(records[::-1])


def test_one_record_listed_twice_is_not_its_own_duplicate():
    assert likely_duplicates([contact(1, email="a@example.org")] * 2) == []
