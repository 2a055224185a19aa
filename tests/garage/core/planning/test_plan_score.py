"""The levels of the manual of `plan`, counted on one small plan."""

from dataclasses import replace

import pytest

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Placed, Worker
from garage.core.planning.plan_score import end_minute, is_done, is_guarded, keeps, promised_begin, score

VISIT = Job("41", 480, (JobStep("bench", 10, check=True), JobStep("roller", 60)), promised=600, worth=9000, ready=0.75)
OTHER = Job("42", 480, (JobStep("roller", 30),), worth=4000)
DAY = DayProblem("2027-03-10", 480, 1, 1, (Worker("p1", 480, 1020), Worker("p2", 480, 1020)), (VISIT, OTHER), guard=10)


def seats(check: int, roller: int, other: int) -> dict[str, list[Placed]]:
    return {
        "41": [
            Placed("41", 0, "bench", 1, "p2", check, check + 10),
            Placed("41", 1, "roller", 1, "p1", roller, roller + 60),
        ],
        "42": [Placed("42", 0, "roller", 1, "p2", other, other + 30)],
    }


def test_a_promise_is_kept_from_its_minute_to_a_quarter_of_an_hour_later():
    kept = [keeps(VISIT, seats(500, begin, 700)["41"]) for begin in (599, 600, 615, 616)]
    assert kept == [False, True, True, False]


def test_a_promise_is_guarded_if_rollers_person_and_own_check_are_clear_before_it():
    assert is_guarded(DAY, VISIT, seats(580, 600, 560))
    assert not is_guarded(DAY, VISIT, seats(580, 600, 561))
    assert not is_guarded(DAY, VISIT, seats(581, 600, 700))


def test_the_levels_are_added_up_as_the_manual_says():
    told = score(DAY, seats(500, 600, 520))
    assert (told.kept, told.guarded, told.worth) == (1, 1, 13000)
    assert told.minus_ends_min == -(660 + 550)
    assert told.minus_risk_min == -0.25 * 500


def test_a_job_left_out_counts_as_midnight_and_a_promise_outweighs_any_worth():
    left = seats(500, 600, 520) | {"42": []}
    assert end_minute(OTHER, left["42"]) == 1440
    broken = seats(500, 620, 520)
    assert score(DAY, left) > score(DAY, broken)
    assert score(DAY, left).worth < score(DAY, broken).worth


def test_a_moved_step_is_counted_last():
    day = DayProblem(DAY.day, 480, 1, 1, DAY.people, DAY.jobs, 10, standing=tuple(seats(500, 600, 520)["41"]))
    assert score(day, seats(500, 600, 520)).minus_moved == 0
    assert score(day, seats(505, 600, 520)).minus_moved == -1


OVER = JobStep("bench", 10, check=True, began=480, by="p2", ended=490)
ON_THE_ROLLERS = JobStep("roller", 60, began=605, by="p1")


def test_a_job_is_done_when_each_step_is_over_running_or_placed():
    both = seats(500, 600, 520)["41"]
    assert is_done(VISIT, both)
    assert not is_done(VISIT, both[:1])
    assert not is_done(VISIT, both[1:])
    assert not is_done(VISIT, [])
    assert is_done(replace(VISIT, steps=(OVER, VISIT.steps[1])), both[1:])
    assert is_done(replace(VISIT, steps=(OVER,)), [])


def test_the_promise_begins_with_the_first_roller_step_as_recorded_or_else_as_placed():
    placed = seats(500, 600, 520)["41"]
    assert promised_begin(VISIT, placed) == 600
    assert promised_begin(VISIT, placed[:1]) is None
    assert promised_begin(replace(VISIT, steps=(OVER, ON_THE_ROLLERS)), placed) == 605
    assert promised_begin(replace(VISIT, steps=VISIT.steps[:1]), placed) is None
    assert not keeps(VISIT, placed[:1])
    assert not keeps(replace(VISIT, promised=None), placed)


@pytest.mark.parametrize(
    ("at", "station", "by", "begin", "is_clear"),
    [
        ("roller", 1, "p2", 560, True),
        ("roller", 1, "p2", 561, False),
        ("roller", 1, "p2", 599, False),
        ("roller", 1, "p2", 600, True),
        ("roller", 2, "p2", 590, True),
        ("bench", 1, "p2", 590, True),
        ("bench", 2, "p1", 590, False),
        ("bench", 2, "p1", 560, True),
    ],
)
def test_only_work_of_its_person_or_at_its_rollers_spoils_the_minutes_before_a_promise(
    at, station, by, begin, is_clear
):
    other = {"42": [Placed("42", 0, at, station, by, begin, begin + 30)]}
    assert is_guarded(DAY, VISIT, seats(500, 600, 700) | other) is is_clear


def test_its_own_check_spoils_the_minutes_before_a_promise_and_its_later_work_does_not():
    assert is_guarded(DAY, VISIT, seats(580, 600, 700))
    assert not is_guarded(DAY, VISIT, seats(581, 600, 700))
    longer = replace(VISIT, steps=(*VISIT.steps, JobStep("bench", 10)))
    placed = seats(580, 600, 700)
    assert is_guarded(DAY, longer, placed | {"41": [*placed["41"], Placed("41", 2, "bench", 1, "p1", 660, 670)]})


def test_without_a_guard_or_once_on_the_rollers_there_is_nothing_to_spoil():
    tight = seats(590, 600, 570)
    assert not is_guarded(DAY, VISIT, tight)
    assert is_guarded(replace(DAY, guard=0), VISIT, tight)
    assert not is_guarded(replace(DAY, guard=1), VISIT, tight)
    assert is_guarded(DAY, replace(VISIT, steps=(VISIT.steps[0], ON_THE_ROLLERS)), tight)
    assert is_guarded(DAY, replace(VISIT, promised=None), tight)
    assert is_guarded(DAY, replace(VISIT, steps=VISIT.steps[:1]), tight)


def test_a_job_ends_with_its_last_step_placed_or_recorded():
    assert end_minute(VISIT, seats(500, 600, 520)["41"]) == 660
    assert end_minute(replace(VISIT, steps=(OVER, replace(OVER, ended=505))), []) == 505
    assert end_minute(replace(VISIT, steps=()), []) == 0


def test_the_score_counts_what_is_kept_guarded_and_done_only():
    told = score(DAY, seats(581, 600, 700))
    assert (told.kept, told.guarded, told.worth) == (1, 0, 13000)
    told = score(DAY, seats(500, 616, 700))
    assert (told.kept, told.guarded, told.worth) == (0, 0, 13000)
    told = score(DAY, seats(500, 600, 700) | {"42": []})
    assert (told.kept, told.worth, told.minus_ends_min) == (1, 9000, -(660 + 1440))


def test_risk_counts_the_checks_ahead_only_by_their_minute():
    steps = (OVER, VISIT.steps[0], VISIT.steps[1])
    day = replace(DAY, jobs=(replace(VISIT, steps=steps), OTHER))
    placed = [Placed("41", n, "bench", 1, "p2", begin, begin + 10) for n, begin in ((0, 480), (1, 520), (2, 600))]
    assert score(day, {"41": placed, "42": []}).minus_risk_min == -0.25 * 520


def test_levels_are_compared_in_the_order_of_the_manual():
    best = score(DAY, seats(500, 600, 700))
    steps = [
        {"kept": 2, "guarded": 0, "worth": 0, "minus_ends_min": -9999, "minus_risk_min": -999.0, "minus_moved": -9},
        {"guarded": 2, "worth": 0, "minus_ends_min": -9999, "minus_risk_min": -999.0, "minus_moved": -9},
        {"worth": 13001, "minus_ends_min": -9999, "minus_risk_min": -999.0, "minus_moved": -9},
        {"minus_ends_min": best.minus_ends_min + 1, "minus_risk_min": -999.0, "minus_moved": -9},
        {"minus_risk_min": best.minus_risk_min + 0.1, "minus_moved": -9},
    ]
    assert all(replace(best, **changed) > best for changed in steps)


def test_only_steps_of_the_current_plan_can_be_moved():
    day = replace(DAY, standing=tuple(seats(500, 600, 520)["41"]))
    moved = {"station": {"station": 2}, "person": {"by": "p2"}, "time": {"begin": 601, "end": 661}}
    for changed in moved.values():
        placed = seats(500, 600, 700)
        placed["41"][1] = replace(placed["41"][1], **changed)
        assert score(day, placed).minus_moved == -1
    assert score(day, seats(505, 605, 700)).minus_moved == -2
    assert score(DAY, seats(505, 605, 700)).minus_moved == 0
