from datetime import date

import pytest

from garage.core.errors import BadInput
from jobs.core.service import check_service, months_after, service_words


@pytest.mark.parametrize(
    ("day", "months", "then"),
    [
        (date(2026, 1, 15), 1, date(2026, 2, 15)),
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2027, 12, 31), 2, date(2028, 2, 29)),
        (date(2026, 11, 30), 1, date(2026, 12, 30)),
        (date(2026, 12, 1), 12, date(2027, 12, 1)),
        (date(2026, 6, 3), 36, date(2029, 6, 3)),
    ],
)
def test_so_many_months_on_is_the_same_day_or_the_months_last(day, months, then):
    assert months_after(day, months) == then


def test_the_distance_is_said_with_what_to_do():
    assert service_words("strobe it again", 500) == "strobe it again after about 500 km"
    assert service_words("look at the belt", None) == "look at the belt"


def test_what_can_be_reminded_of():
    check_service("strobe it again", 1, 1)
    check_service("x" * 100, 50_000, 36)
    check_service("strobe it again", None, 6)


@pytest.mark.parametrize(
    ("what", "after_km", "months", "said"),
    [
        ("", None, 6, "a few words"),
        ("x" * 101, None, 6, "101 characters long"),
        ("strobe", 0, 6, "1 to 50000"),
        ("strobe", 50_001, 6, "1 to 50000"),
        ("strobe", None, 0, "1 to 36"),
        ("strobe", None, 37, "1 to 36"),
    ],
)
def test_what_cannot_is_refused_in_a_sentence(what, after_km, months, said):
    with pytest.raises(BadInput, match=said):
        check_service(what, after_km, months)
