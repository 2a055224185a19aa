from dataclasses import replace

import pytest

from garage.core.selling.setting_up import (
    BeginPage,
    Begun,
    Lack,
    WorkerDays,
    first_lacking,
    lacks,
    next_page,
    page_before,
)

WEEK = frozenset(range(5))
WHOLE = Begun(
    name="Quarry Lane",
    address="Ambleford",
    telephone="01632 960100",
    email="garage@example.com",
    rollers=1,
    benches=1,
    open_weekdays=WEEK,
    workers=[WorkerDays(does_bench=True, does_rollers=True, weekdays=WEEK)],
    session_pence=[12000],
    labour_pence=4500,
)
ONE = WorkerDays(does_bench=True, does_rollers=True, weekdays=WEEK)


def test_a_whole_garage_lacks_nothing():
    assert lacks(WHOLE) == ()
    assert first_lacking(lacks(WHOLE)) is None


def test_an_empty_one_lacks_each_thing_once_in_the_order_of_the_pages():
    missing = lacks(Begun())
    assert set(missing) == set(Lack) - {Lack.SAME_DAY, Lack.PRICE}
    pages = [list(BeginPage).index(lack.page) for lack in missing]
    assert pages == sorted(pages)
    assert first_lacking(missing) == BeginPage.GARAGE


@pytest.mark.parametrize(
    ("without", "lack"),
    [
        ({"name": "  "}, Lack.NAME),
        ({"address": "\n"}, Lack.ADDRESS),
        ({"telephone": ""}, Lack.TELEPHONE),
        ({"email": ""}, Lack.EMAIL),
        ({"rollers": 0}, Lack.ROLLERS),
        ({"benches": 0}, Lack.BENCH),
        ({"open_weekdays": frozenset()}, Lack.HOURS),
        ({"workers": [replace(ONE, does_rollers=False)]}, Lack.ROLLER_PERSON),
        ({"workers": [replace(ONE, does_bench=False)]}, Lack.BENCH_PERSON),
        ({"open_weekdays": frozenset({6})}, Lack.SAME_DAY),
        ({"session_pence": []}, Lack.SESSION),
        ({"session_pence": [0]}, Lack.PRICE),
        ({"labour_pence": 0}, Lack.LABOUR),
    ],
)
def test_what_is_missing_is_named_alone(without, lack):
    assert lacks(replace(WHOLE, **without)) == (lack,)
    assert first_lacking(lacks(replace(WHOLE, **without))) == lack.page


def test_somebody_without_hours_counts_for_nobody():
    assert lacks(replace(WHOLE, workers=[replace(ONE, weekdays=frozenset())])) == (
        Lack.ROLLER_PERSON,
        Lack.BENCH_PERSON,
    )


def test_two_people_do_together_what_one_does_not():
    bench, rollers = replace(ONE, does_rollers=False), replace(ONE, does_bench=False)
    assert lacks(replace(WHOLE, workers=[bench, rollers])) == ()
    apart = [replace(bench, weekdays=frozenset({0})), replace(rollers, weekdays=frozenset({1}))]
    assert lacks(replace(WHOLE, workers=apart)) == (Lack.SAME_DAY,)


def test_one_session_with_a_price_is_enough():
    assert lacks(replace(WHOLE, session_pence=[0, 6000])) == ()


def test_the_pages_lead_from_the_first_to_the_last_and_back():
    forth = [page for page in BeginPage if next_page(page)]
    assert [next_page(page) for page in forth] == list(BeginPage)[1:]
    assert [page_before(page) for page in BeginPage] == [None, *list(BeginPage)[:-1]]
    assert next_page(BeginPage.MONEY) is None
