from datetime import date, timedelta

from garage.core.time.closed_runs import ListedDay, closed_runs

EVE = date(2026, 12, 24)


def day(ahead, why="winter closing", **more):
    return ListedDay(ahead, EVE + timedelta(days=ahead), why, **more)


def numbers(*days):
    return [[one.number for one in run.days] for run in closed_runs(days)]


def test_days_without_a_gap_and_for_one_reason_are_one_run():
    assert numbers() == []
    assert numbers(day(0), day(1), day(2)) == [[0, 1, 2]]
    assert numbers(day(0), day(2), day(3)) == [[0], [2, 3]]
    assert numbers(day(0), day(1, "stocktaking"), day(2)) == [[0], [1], [2]]


def test_a_holiday_that_is_worked_stands_alone():
    assert numbers(day(0), day(1, open_after_all=True), day(2)) == [[0], [1], [2]]
    assert numbers(day(0, open_after_all=True), day(1, open_after_all=True)) == [[0], [1]]


def test_a_run_knows_its_ends():
    [run] = closed_runs([day(0), day(1)])
    assert (run.first.day, run.last.day) == (EVE, EVE + timedelta(days=1))
