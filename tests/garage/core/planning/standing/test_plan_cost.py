"""What a pin costs: two plans of one day side by side, and the sentences about them."""

from dataclasses import replace

import pytest

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Pin, Worker
from garage.core.planning.planner import plan
from garage.core.planning.standing.plan_cost import PlanFigures, cost_of, figures_of, sentence_of

NOTHING = PlanFigures(frozenset(), frozenset(), 0, {}, {"41": 600, "42": 700}, {}, 0, 0)


def session(number: str, promised: int | None, minutes: int = 60, worth: int = 9000, **changed: object) -> Job:
    here = 480 if promised is None else promised - 30
    steps = (JobStep("bench", 10, check=True), JobStep("roller", minutes))
    return replace(Job(number, here, steps, promised=promised, worth=worth), **changed)


def a_day(*jobs: Job, people: int = 2, ends: int = 1020, guard: int = 0) -> DayProblem:
    workers = tuple(Worker(f"p{n}", 480, ends) for n in range(1, people + 1))
    return DayProblem("2027-03-10", 480, rollers=1, benches=2, people=workers, jobs=jobs, guard=guard)


def pinned(day: DayProblem, job: str, index: int, pin: Pin) -> DayProblem:
    def fixed(one: Job) -> Job:
        steps = [replace(step, pin=pin) if i == index else step for i, step in enumerate(one.steps)]
        return replace(one, steps=tuple(steps)) if one.id == job else one

    return replace(day, jobs=tuple(fixed(one) for one in day.jobs))


def cost(day: DayProblem, job: str, index: int, pin: Pin):
    return cost_of(day, plan(day), plan(pinned(day, job, index, pin)))


def test_a_pin_where_the_plan_has_the_step_anyway_costs_nothing():
    day = a_day(session("41", 540))
    told = cost(day, "41", 1, Pin(station=1, begin=540))
    assert (told.kept, told.guarded, told.worth_pence, told.left_out, told.roller_min, told.day_ends_min) == (0,) * 6
    assert sentence_of(told) == "It costs nothing."


def test_a_pin_on_another_promise_costs_that_promise():
    day = a_day(session("41", 600, minutes=65, worth=12000), session("42", 660))
    told = cost(day, "41", 1, Pin(begin=615))
    assert (told.kept, told.fixed.kept) == (-1, frozenset({"41"}))
    assert told.sentence.startswith("Fixed so, one promise less is kept: 42 at 11:00.")


def test_a_promise_is_not_broken_for_what_was_fixed_without_one():
    told = cost(a_day(session("41", None), session("42", 660)), "41", 1, Pin(begin=640))
    assert (told.kept, told.left_out) == (0, 1)
    assert told.sentence.startswith("Fixed so, 41 is left out: The other jobs leave no room")


def test_its_own_promise_is_lost_like_any_other():
    told = cost(a_day(session("41", 540)), "41", 1, Pin(begin=600))
    assert told.sentence == (
        "Fixed so, one promise less is kept: 41 at 09:00. The day’s work ends at 11:00 instead of 10:00."
    )


def test_clear_minutes_that_are_lost_are_told_of_promises_that_stay_kept():
    day = a_day(session("41", 600, minutes=50), session("42", 660), guard=10)
    told = cost(day, "41", 1, Pin(begin=610))
    assert (told.kept, told.guarded) == (0, -1)
    assert told.sentence.startswith("Fixed so, 42 at 11:00 has no clear minutes before it any more.")


def test_a_job_that_no_longer_fits_is_named_with_its_worth_and_its_roller_minutes():
    day = a_day(session("41", None), session("42", None, minutes=400, worth=12000), ends=970)
    told = cost(day, "41", 1, Pin(begin=700))
    assert (told.left_out, told.worth_pence, told.roller_min) == (1, -9000, -60)
    assert told.sentence == (
        "Fixed so, 41 is left out: The other jobs leave no room for its 60 minutes at the rollers. "
        "Work worth £90 less is done. 60 roller minutes fewer are worked."
    )


def test_a_pin_that_cannot_be_kept_says_why():
    told = cost(a_day(session("41", None)), "41", 1, Pin(begin=1000))
    assert "41 is left out: " in told.sentence
    assert told.sentence.endswith("Work worth £90 less is done. 60 roller minutes fewer are worked.")


def test_when_only_the_others_wait_longer_it_says_how_long_all_together():
    bench = Job("43", 480, (JobStep("bench", 30),), worth=1000)
    later = Job("44", 480, (JobStep("bench", 60),), worth=1000)
    day = replace(a_day(bench, later, people=1), benches=1)
    told = cost(day, "43", 0, Pin(begin=540))
    assert (told.day_ends_min, told.ends_min) == (0, 30)
    assert told.sentence == "Fixed so, machines are done 30 minutes later, all taken together."


def test_when_one_machine_alone_is_done_later_it_says_which():
    early, late = (Job(number, 480, (JobStep("bench", minutes),)) for number, minutes in (("43", 30), ("44", 300)))
    told = cost(a_day(early, late), "43", 0, Pin(begin=600))
    assert told.sentence == "Fixed so, 43 is done at 10:30 instead of 08:30."


def test_a_risky_check_that_comes_later_is_told():
    free = replace(NOTHING, doubtful={"41": 490})
    told = cost_of(a_day(), plan(a_day()), plan(a_day()))
    told = replace(told, free=free, fixed=replace(NOTHING, doubtful={"41": 600}))
    assert told.sentence == "Fixed so, 41, which may well fail its check, is checked at 10:00 instead of 08:10."


@pytest.mark.parametrize(
    ("free", "fixed", "said"),
    [
        ({"kept": {"41", "42"}}, {}, "Fixed so, two promises fewer are kept: 41 at 10:00 and 42 at 11:00."),
        ({"kept": {"41"}}, {"kept": {"42"}}, "Fixed so, another promise is broken: 41 at 10:00. 42 at 11:00 is kept"),
        ({}, {"kept": {"41"}}, "Fixed so, one promise more is kept: 41 at 10:00."),
        ({"kept": {"41"}}, {"kept": {"41"}, "guarded": {"41"}}, "Fixed so, 41 at 10:00 has clear minutes before it."),
        ({"left_out": {"41": "No."}}, {}, "Fixed so, 41 fits in."),
        ({}, {"worth_pence": 950}, "Fixed so, work worth £9.50 more is done."),
        ({"roller_min": 1}, {}, "Fixed so, 1 roller minute fewer is worked."),
        ({"ends": {"41": 650, "42": 710}}, {}, "Fixed so, machines are done 60 minutes earlier, all taken together."),
        ({"ends": {"41": 650, "42": 700}}, {}, "Fixed so, 41 is done at 10:00 instead of 10:50."),
    ],
)
def test_what_is_won_is_said_too(free, fixed, said):
    def figures(given):
        values = {key: frozenset(value) if isinstance(value, set) else value for key, value in given.items()}
        return replace(NOTHING, **values)

    empty = cost_of(a_day(), plan(a_day()), plan(a_day()))
    told = replace(empty, free=figures(free), fixed=figures(fixed), promised={"41": 600, "42": 660})
    assert told.sentence.startswith(said)


def test_the_figures_are_those_of_the_plan_itself():
    day = a_day(session("41", 540), session("42", 600), session("43", None), guard=10)
    made = plan(day)
    told = figures_of(day, made)
    assert (len(told.kept), len(told.guarded), told.worth_pence) == (made.kept, made.guarded, made.worth)
    assert (told.roller_min, told.day_ends) == (made.roller_minutes, max(placed.end for placed in made.placed))
