"""The levels of the manual of `plan`, counted on one small plan."""

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Placed, Worker
from garage.core.planning.plan_score import end_minute, is_guarded, keeps, score

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
