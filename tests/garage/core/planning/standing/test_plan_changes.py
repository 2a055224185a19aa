"""What moved between the plan that stands and the proposed one, and why: by value and in words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from garage.core.planning import planner
from garage.core.planning.day_problem import DayProblem, Job, JobStep, Pin, Placed, Plan, Worker
from garage.core.planning.standing.plan_change_words import change_words
from garage.core.planning.standing.plan_changes import (
    SLIP_MIN,
    Gone,
    GoneStep,
    PlanChange,
    WhyMoved,
    plan_changes,
    runs_late,
)

JO, SAM = Worker("Jo", 480, 1050), Worker("Sam", 480, 1050)
GATE, ROLLERS = JobStep("bench", 20, check=True), JobStep("roller", 90)


def _job(number: str, *steps: JobStep, **given: object) -> Job:
    return Job(number, **{"here_from": 480, "worth": 100} | given, steps=steps or (GATE, ROLLERS))


def _day(*jobs: Job, now: int = 480, **given: object) -> DayProblem:
    return DayProblem("2027-03-10", now, **{"rollers": 1, "benches": 2, "people": (JO, SAM)} | given, jobs=jobs)


def _accepted(day: DayProblem, *jobs: Job, **changed: object) -> DayProblem:
    """The same day later, with the plan of before standing. jobs: as they are now."""
    return replace(day, standing=planner.plan(day).placed, jobs=jobs or day.jobs, **changed)


def _changes(day: DayProblem, gone: tuple[GoneStep, ...] = ()) -> tuple[PlanChange, ...]:
    return plan_changes(day, planner.plan(day), gone)


def _words(day: DayProblem, gone: tuple[GoneStep, ...] = ()) -> list[str]:
    return [change_words(change, _whats(day)) for change in _changes(day, gone)]


def _whats(day: DayProblem) -> dict[tuple[str, int], str]:
    return {
        (job.id, index): "gate" if step.check else {"bench": "bench", "roller": "set-up"}[step.at]
        for job in day.jobs
        for index, step in enumerate(job.steps)
    }


def _begun(step: JobStep, began: int, by: str = "Jo", ended: int | None = None, station: int = 1) -> JobStep:
    return replace(step, began=began, by=by, ended=ended, pin=Pin(station))


def _placed(day: DayProblem, *placed: Placed, **given: object) -> Plan:
    return replace(planner.plan(day), placed=placed, **given)


def test_a_plan_changes_nothing_of_itself():
    day = _day(_job("41"), _job("42"))
    assert _changes(_accepted(day)) == ()


@pytest.mark.parametrize(("late", "is_change"), [(3, False), (SLIP_MIN, False), (SLIP_MIN + 1, True)])
def test_a_slip_by_the_clock_alone_is_a_change_only_past_ten_minutes(late, is_change):
    day = _day(_job("41"))
    assert bool(_changes(_accepted(day, now=480 + late))) is is_change


def test_work_that_has_not_begun_says_so():
    day = _day(_job("41"))
    assert _words(_accepted(day, now=500)) == [
        "41: gate at 08:20 instead of 08:00; set-up at 08:40 instead of 08:20: it has not begun."
    ]


def test_a_step_whose_earlier_one_runs_late_says_until_when():
    day = _day(_job("41"))
    running = _job("41", _begun(GATE, 480), ROLLERS)
    later = _accepted(day, running, now=530)
    assert _words(later) == ["41: set-up at 08:55 instead of 08:20: what comes before it runs late, until 08:55."]
    assert runs_late(later, planner.plan(later).placed[0]) == 35


def test_a_roller_that_is_kept_by_late_work_names_it():
    first, second = _job("41", ROLLERS, worth=500), _job("42", JobStep("roller", 60))
    day = _day(first, second)
    second_began = _accepted(day, first, _job("42", _begun(JobStep("roller", 60), 480)), now=570)
    assert _words(second_began) == ["41: set-up at 09:35 instead of 09:00: 42 runs late on roller 1, until 09:35."]


def test_a_promise_that_needs_the_roller_is_named():
    day = _day(_job("41", ROLLERS))
    later = _accepted(day, _job("41", ROLLERS), _job("42", ROLLERS, promised=510), now=480)
    assert _words(later)[-1] == "41: set-up at 10:00 instead of 08:00: roller 1 is promised to 42, until 10:00."
    assert _words(later)[0] == "42: newly come in: set-up at 08:30 (roller 1, Jo)."


def test_a_machine_fixed_by_hand_says_so_and_so_does_the_one_that_makes_room():
    day = _day(_job("41", ROLLERS), _job("42", ROLLERS))
    stood = planner.plan(day).placed[0].job
    other = "42" if stood == "41" else "41"
    pinned = _job(other, replace(ROLLERS, pin=Pin(begin=480)))
    assert _words(_accepted(day, _job(stood, ROLLERS), pinned)) == [
        f"{other}: set-up at 08:00 instead of 09:30: that is set by hand.",
        f"{stood}: set-up at 09:30 instead of 08:00: roller 1 is set by hand for {other} until 09:30.",
    ]


def test_somebody_who_is_not_here_is_named_whatever_the_time_does():
    day = _day(_job("41"), people=(JO,))
    assert _words(_accepted(day, people=(SAM,))) == [
        "41: gate at 08:00, by Sam instead of Jo; set-up at 08:20, by Sam instead of Jo: Jo is not at work then."
    ]
    afternoon = (replace(JO, begin=780),)
    assert _words(_accepted(day, people=afternoon)) == [
        "41: gate at 13:00 instead of 08:00; set-up at 13:20 instead of 08:20: Jo is not at work then."
    ]


def test_somebody_who_has_left_for_good_has_no_name():
    day = replace(_day(_job("41", ROLLERS)), standing=(Placed("41", 0, "roller", 1, "", 480, 570),))
    assert _words(day) == ["41: set-up at 08:00, by Jo: nobody known is not at work then."]


def test_a_machine_that_comes_later_says_when():
    day = _day(_job("41"))
    assert _words(_accepted(day, _job("41", here_from=600))) == [
        "41: gate at 10:00 instead of 08:00; set-up at 10:20 instead of 08:20: the machine is not here before 10:00."
    ]


def test_a_person_who_is_with_another_machine_is_named():
    bench = JobStep("bench", 60)
    day = _day(_job("41", bench), people=(JO,))
    later = _accepted(day, _job("41", bench), _job("42", _begun(JobStep("roller", 60), 480)), now=490)
    assert _words(later) == ["41: bench at 09:00 instead of 08:00: Jo is with 42 until 09:00."]


def test_a_roller_that_comes_free_says_who_has_left_it():
    """41 failed its gate: its roller time is gone, and 42 takes the rollers at once."""
    day = _day(_job("41", ROLLERS, promised=480), _job("42", ROLLERS))
    gone = GoneStep("41", "set-up", "roller", 1, "Jo", 480, 570, Gone.TO_PUT_RIGHT)
    later = _accepted(day, _job("41", JobStep("bench", 30), worth=100), _job("42", ROLLERS))
    later = replace(later, standing=tuple(p for p in later.standing if p.job != "41"))
    assert _words(later, (gone,)) == [
        "41: no set-up at 08:00: it is to be put right first. Now also bench at 08:00 (bench 2, Sam).",
        "42: set-up at 08:00 instead of 09:30: 41 does not need roller 1 then.",
    ]


def test_a_job_left_out_and_a_promise_broken_say_why():
    day = _day(_job("41", ROLLERS, promised=480), _job("42", JobStep("bench", 500)))
    later = _accepted(day, now=600)
    said = {change.job: change for change in _changes(later)}
    assert said["41"].broken == "Promised for 08:00: it is already 10:00."
    assert said["42"].left_out.startswith(
        "Hours, breaks and quiet times leave no room for its 500 minutes at the bench"
    )
    assert _words(later)[-1].startswith("42: left out of today. Hours, breaks")
    assert "Its promise is not kept. Promised for 08:00" in _words(later)[0]


def test_a_promise_that_was_broken_already_is_not_told_again():
    day = _day(_job("41", ROLLERS, promised=480), now=520)
    assert _changes(_accepted(day)) == ()


def test_what_begun_work_did_otherwise_is_no_change():
    """It has happened: nobody can take it or leave it."""
    day = _day(_job("41"))
    begun = _job("41", _begun(GATE, 485, by="Sam", station=2), ROLLERS)
    assert _changes(_accepted(day, begun, now=486)) == ()


def test_another_order_is_a_change_though_nothing_moves_far():
    one, other = JobStep("bench", 8), JobStep("bench", 8)
    day = _day(_job("41", one), _job("42", other), benches=1)
    stands = (Placed("41", 0, "bench", 1, "Jo", 480, 488), Placed("42", 0, "bench", 1, "Jo", 488, 496))
    turned = (Placed("42", 0, "bench", 1, "Jo", 480, 488), Placed("41", 0, "bench", 1, "Jo", 488, 496))
    changes = plan_changes(replace(day, standing=stands), _placed(day, *turned))
    assert [(change.job, change.because.cause) for change in changes] == [
        ("42", WhyMoved.STATION_FREE),
        ("41", WhyMoved.STATION_TAKEN),
    ]


def test_another_station_or_person_is_a_change_at_the_same_minute():
    day = replace(_day(_job("41", JobStep("bench", 30))), standing=(Placed("41", 0, "bench", 1, "Jo", 480, 510),))
    moved = _placed(day, Placed("41", 0, "bench", 2, "Sam", 480, 510))
    (change,) = plan_changes(day, moved)
    assert change_words(change, {("41", 0): "bench"}) == (
        "41: bench at 08:00, on bench 2 instead of bench 1, by Sam instead of Jo: the whole day comes out better."
    )


def test_work_put_in_for_a_job_that_stood_is_not_newly_come_in():
    day = _day(_job("41", ROLLERS))
    later = _accepted(day, _job("41", JobStep("bench", 5), ROLLERS))
    (change,) = _changes(replace(later, standing=(Placed("41", 1, "roller", 1, "Jo", 480, 570),)))
    assert (change.is_new, [p.step for p in change.added]) == (False, [0])


def test_a_job_that_is_gone_altogether_says_why():
    gone = GoneStep("41", "set-up", "roller", 1, "Jo", 540, 630, Gone.CALLED_OFF)
    assert _words(_day(), (gone,)) == ["41: no set-up at 09:00: it is called off."]
    assert _changes(_day(), (gone,)) == (PlanChange("41", gone=(gone,)),)


def test_work_within_its_time_does_not_run_late_and_work_over_it_does():
    day = _day(_job("41", _begun(GATE, 480), ROLLERS), now=490)
    assert runs_late(day, planner.plan(day).placed[0]) == 0
    over = replace(day, now=510)
    assert runs_late(over, planner.plan(over).placed[0]) == 15
    assert runs_late(day, planner.plan(day).placed[1]) == 0


def test_a_bench_on_which_other_work_was_begun_is_taken_and_neither_fixed_nor_newly_come_in():
    bench = JobStep("bench", 60)
    day = _day(_job("41", bench), benches=1)
    later = _accepted(day, _job("41", bench), _job("42", _begun(bench, 480, by="Sam")), now=490)
    assert _words(later) == ["41: bench at 09:00 instead of 08:00: bench 1 is taken by 42 until 09:00."]
