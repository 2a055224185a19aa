"""The comparison on short days, and its table."""

from __future__ import annotations

from garage.core.planning.day_problem import Worker
from garage.core.planning.weeks.compared import Comparison, compared, joined, rows_with, table
from garage.core.planning.weeks.drawn_weeks import Workshop
from garage.core.planning.weeks.practices import Policy, Practice
from garage.core.planning.weeks.week_measures import WeekFigures

SHORT = Workshop(closes=690, people=(Worker("p1", 510, 690), Worker("p2", 510, 690)))
POLICIES = {"this planner": Policy(0)}


def week(useful_min: int, kept: int) -> WeekFigures:
    return WeekFigures(useful_min, 10, 0, 100 * useful_min, 10, kept)


def test_the_table_says_each_practice_with_its_interval_and_the_planner_beside_the_others():
    """By hand: weeks of 200 and 400 minutes a day; Student's t of one degree of freedom is 12.706."""
    weeks = {
        row: [week(1100, 9), week(2200, 10)] if row.practice is Practice.PLANNED else [week(1000, 8), week(2000, 9)]
        for row in rows_with(POLICIES)
    }
    lines = table(Comparison(1.0, weeks))
    assert [line.split("  ")[0] for line in lines[2:7]] == ["practice", *(row.words for row in weeks)]
    said = " ".join(lines[3].split())
    assert said == "as booked 300.0 ± 1270.6 2.0 ± 0.0 0.0 ± 0.0 300 ± 1271 85.0 ± 63.5"
    assert lines[-3:] == [
        f"this planner beside {other}: 110.0 ± 0.0 % of its useful minutes; kept +10.0 ± 0.0 points"
        for other in ("as booked", "earliest fit", "knows the future")
    ]


def test_the_same_seed_compares_the_same_weeks_in_the_same_way_in_one_go_or_week_by_week():
    whole = compared(4, POLICIES, range(2), SHORT)
    assert [one.work for one in whole] == [1.33, 1.0]
    assert whole == joined(*(compared(4, POLICIES, [number], SHORT) for number in range(2)))
    assert {len(weeks) for one in whole for weeks in one.weeks.values()} == {2}


def test_every_practice_meets_the_same_promises():
    for one in compared(5, POLICIES, range(2), SHORT):
        assert len({tuple(week.promises for week in weeks) for weeks in one.weeks.values()}) == 1
