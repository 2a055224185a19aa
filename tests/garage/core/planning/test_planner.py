"""The planner against its manual: every plan is judged by check_plan, small days also by trying everything."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Pin, Worker
from garage.core.planning.planner import plan, whole
from tests.garage.core.check_plan import enumerated, faults
from tests.garage.core.day_drawing import running_day, tiny_day, whole_day

MOST_MISSED_IN_A_HUNDRED = 1  # counted: see the figure in test_hardly_any_promise_that_could_be_kept_is_lost


def a_day(*jobs: Job, **changed: object) -> DayProblem:
    people = (Worker("p1", 480, 1020, ((750, 780),)), Worker("p2", 480, 1020, skills=frozenset({"bench"})))
    return replace(DayProblem("2027-03-10", 480, rollers=1, benches=2, people=people, jobs=jobs), **changed)


def visit(number: str, promised: int | None, roller_min: int = 60, **changed: object) -> Job:
    here = 480 if promised is None else promised - 30
    job = Job(
        number, here, (JobStep("bench", 10, check=True), JobStep("roller", roller_min)), promised=promised, worth=9000
    )
    return replace(job, **changed)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**9), st.integers(1, 12))
def test_a_whole_day_holds_every_rule(seed, jobs):
    day = whole_day(seed, jobs)
    assert faults(day, plan(day)) == []


@settings(max_examples=80, deadline=None)
@given(st.integers(0, 10**9))
def test_a_day_under_way_holds_every_rule(seed):
    day = running_day(seed)
    assert faults(day, plan(day)) == []


def test_the_judge_sees_a_plan_that_was_tampered_with():
    day = whole_day(7, 8)
    made = plan(day)
    first = made.placed[0]
    for spoilt in (
        replace(first, begin=first.begin - 1),
        replace(first, end=first.end + 1),
        replace(first, station=9),
        replace(first, by="nobody"),
    ):
        assert faults(day, replace(made, placed=(spoilt, *made.placed[1:])))
    assert faults(day, replace(made, placed=made.placed[1:]))
    assert faults(day, replace(made, kept=made.kept + 1))


def test_hardly_any_promise_that_could_be_kept_is_lost():
    """Source: exhaustive enumeration (check_plan.enumerated)."""
    days = [tiny_day(seed) for seed in range(120)]
    best = [enumerated(day, slot_min=15) for day in days]
    made = [plan(day) for day in days]
    keepable, kept = sum(most for most, _ in best), sum(one.kept for one in made)
    assert all(one.kept <= most for one, (most, _) in zip(made, best, strict=True))
    assert keepable > 100
    assert 100 * (keepable - kept) <= MOST_MISSED_IN_A_HUNDRED * keepable
    wholes = [(whole(one), could) for one, (_, could) in zip(made, best, strict=True)]
    assert not [pair for pair in wholes if pair == (True, False)]
    assert not [pair for pair in wholes if pair == (False, True)]
    assert 20 < sum(could for _, could in wholes) < 110


def test_the_same_day_gives_the_same_plan():
    assert plan(whole_day(3, 11)) == plan(whole_day(3, 11))


def test_the_check_comes_before_the_rollers_and_the_promise_is_kept_to_the_minute():
    made = plan(a_day(visit("41", 540)))
    assert [(p.at, p.by, p.begin, p.end) for p in made.placed] == [
        ("bench", "p2", 510, 520),
        ("roller", "p1", 540, 600),
    ]
    assert (made.kept, made.proved, made.worth, made.roller_minutes) == (1, 0, 9000, 60)


def test_an_unpromised_machine_never_pushes_a_promise_aside():
    made = plan(a_day(visit("41", None, roller_min=240, worth=99000), visit("42", 600)))
    assert whole(made)
    assert made.kept == 1


def test_a_promise_that_clashes_is_named_with_the_job_in_its_way():
    made = plan(a_day(visit("41", 600), visit("42", 600)))
    assert made.kept == 1
    (broken,) = made.broken
    other = {"41": "42", "42": "41"}[broken.job]
    assert broken.why.startswith("Promised for 10:00: ")
    assert f"{other} (roller" in broken.why
    assert not made.left_out


@pytest.mark.parametrize(
    ("job", "changed", "sentence"),
    [
        (visit("41", None), {"rollers": 0}, "There are no rollers today."),
        (visit("41", None), {"people": ()}, "Nobody here today works at the bench."),
        (visit("41", None, gone_by=520), {}, "It needs 70 minutes, more than there are from 08:00 to 08:40."),
        (
            visit("41", None, steps=(JobStep("roller", 30, pin=Pin(by="p2")),)),
            {},
            "It is fixed to p2, who does not work at the rollers.",
        ),
        (
            visit("41", None, steps=(JobStep("bench", 30, pin=Pin(begin=500)),)),
            {"now": 510},
            "It is fixed for 08:20, and it is already 08:30.",
        ),
        (
            visit("41", None, roller_min=300),
            {"quiet_rollers": ((600, 960),)},
            "Hours, breaks and quiet times leave no room for its 300 minutes at the rollers from 08:10.",
        ),
    ],
)
def test_the_reason_for_leaving_out_a_job_is_given_in_words(job, changed, sentence):
    made = plan(a_day(job, **changed))
    assert [(one.job, one.why) for one in made.left_out] == [("41", sentence)]


def test_a_job_crowded_out_names_what_is_missing():
    made = plan(a_day(*(visit(str(n), None, roller_min=200) for n in range(40, 44))))
    assert [one.why for one in made.left_out] == [
        "The other jobs leave no room for its 200 minutes at the rollers."
    ] * len(made.left_out)
    assert made.left_out


@pytest.mark.parametrize(
    ("job", "sentence"),
    [
        (visit("41", 500, here_from=480), "Promised for 08:20: it is already 10:00."),
        (visit("41", 620, here_from=660), "Promised for 10:20: the machine is not here before 11:00."),
        (
            visit("41", 620, steps=(JobStep("bench", 10, check=True, began=580, by="p2", ended=595),)),
            "Promised for 10:20: no roller work is left in the job.",
        ),
        (
            visit("41", 540, steps=(JobStep("roller", 90, began=570, by="p1"),)),
            "Promised for 09:00: it went on the rollers at 09:30.",
        ),
    ],
)
def test_the_reason_for_a_broken_promise_is_given_in_words(job, sentence):
    made = plan(a_day(job, now=600))
    assert [one.why for one in made.broken] == [sentence]


def test_a_running_step_holds_its_person_and_station_through_a_break():
    running = Job("41", 480, (JobStep("roller", 90, began=700, by="p1"),))
    made = plan(a_day(running, visit("42", None, roller_min=30), now=760))
    on_rollers = [(p.job, p.begin, p.end) for p in made.placed if p.at == "roller"]
    assert on_rollers == [("41", 700, 790), ("42", 790, 820)]
    assert faults(a_day(running, visit("42", None, roller_min=30), now=760), made) == []


def test_a_failed_check_frees_the_rollers_and_the_others_stay_sound():
    failed = Job(
        "42", 540, (JobStep("bench", 10, check=True, began=600, by="p2", ended=612), JobStep("bench", 110)), worth=5000
    )
    day = a_day(failed, visit("43", None, roller_min=45), visit("44", 810, roller_min=45), now=615)
    made = plan(day)
    assert whole(made)
    assert faults(day, made) == []
    assert min(p.begin for p in made.placed if p.at == "roller") == 625


def test_notes_name_the_risky_check_and_the_machine_that_covers_for_it():
    risky = visit("42", 660, roller_min=60, ready=0.3)
    waiting = visit("43", None, roller_min=45, here_from=480)
    blocking = visit("41", 490, roller_min=165, here_from=480)
    made = plan(a_day(risky, waiting, blocking))
    assert "Check 42 at 10:30: it may well fail (30 in 100 pass)." in made.notes
    assert "If 42 fails, 43 is here and can take the rollers at 11:00." in made.notes


def test_a_promise_without_its_clear_minutes_is_noted():
    made = plan(a_day(visit("41", 600), visit("42", 660), guard=10))
    assert made.kept == 2
    assert made.guarded == 1
    assert "Tight at 11:00: 42 does not have 10 clear minutes before its promise." in made.notes
