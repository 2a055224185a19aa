"""A day planned with clear minutes before its promises, and without."""

from dataclasses import replace

import pytest

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Worker
from garage.core.planning.standing.guard_cost import GuardedDay, guard_sentences, guarded_day
from garage.core.planning.standing.plan_cost import PlanFigures


def session(number: str, promised: int | None, minutes: int = 60, here: int = 480) -> Job:
    steps = (JobStep("bench", 10, check=True), JobStep("roller", minutes))
    return Job(number, here, steps, promised=promised, worth=9000)


def a_day(*jobs: Job, guard: int = 0, ends: int = 720) -> DayProblem:
    people = (Worker("p1", 480, ends), Worker("p2", 480, ends))
    return DayProblem("2027-03-10", 0, rollers=1, benches=2, people=people, jobs=jobs, guard=guard)


def figures(**given: object) -> PlanFigures:
    return replace(PlanFigures(frozenset(), frozenset(), 0, {}, {}, {}, 0, 0), **given)


def test_clear_minutes_are_counted_alike_in_both_plans():
    """A set-up fits before the promise only if it runs right up to it."""
    told = guarded_day(a_day(session("41", 560), session("42", None, minutes=65)), 10)
    assert (told.promises, len(told.guarded.guarded), len(told.free.guarded)) == (1, 1, 0)
    assert len(told.guarded.kept) == len(told.free.kept) == 1
    assert (told.ends, told.ends_without) == ("11:25", "10:20")


def test_what_does_not_fit_in_for_it_is_counted():
    told = guarded_day(a_day(session("41", 560, minutes=150), session("42", None, minutes=65)), 10)
    assert (told.left_out_pence, told.left_out_without_pence) == (9000, 0)


def test_the_shops_own_minutes_make_no_difference_to_the_comparison():
    day = a_day(session("41", 560), session("42", None, minutes=65))
    assert guarded_day(day, 10) == guarded_day(replace(day, guard=30), 10)


def a_told(promises: int = 1, **given: object) -> GuardedDay:
    one = GuardedDay("2027-03-10", promises, 0, figures(), figures())
    return replace(one, **given)


BOTH = {"kept": frozenset({"41", "42"})}
DIFFERS = a_told(
    promises=2,
    all_worth_pence=21000,
    guarded=figures(**BOTH, guarded=frozenset({"41", "42"}), worth_pence=12000, day_ends=1020),
    free=figures(**BOTH, guarded=frozenset({"41"}), worth_pence=21000, day_ends=1000),
)


@pytest.mark.parametrize(
    ("days", "said"),
    [
        ([], ()),
        ([a_told(0)], ("No time on the rollers is promised on those days, so it makes no difference to them.",)),
        (
            [DIFFERS],
            (
                "2 of 2 promised times have 10 clear minutes before them; without it, 1.",
                "As many promises are kept.",
                "Work worth £90 does not fit in for it.",
                "One day ends later for it, by 20 minutes.",
            ),
        ),
        (
            [DIFFERS, replace(DIFFERS, guarded=replace(DIFFERS.guarded, day_ends=1030))],
            (
                "4 of 4 promised times have 10 clear minutes before them; without it, 2.",
                "As many promises are kept.",
                "Work worth £180 does not fit in for it.",
                "2 days end later for it, by 30 minutes at most.",
            ),
        ),
        (
            [a_told(guarded=figures(guarded=frozenset({"41"})), free=figures(guarded=frozenset({"41"})))],
            (
                "The one promised time has 10 clear minutes before it, with it or without.",
                "As many promises are kept.",
                "It costs no work.",
            ),
        ),
        (
            [a_told(all_worth_pence=950, guarded=figures(worth_pence=950), free=figures(kept=frozenset({"41"})))],
            (
                "The one promised time has no 10 clear minutes before it, with it or without.",
                "0 promises are kept; without it, 1.",
                "Work worth £9.50 more fits in.",
            ),
        ),
    ],
)
def test_the_days_together_say_what_it_brings_and_costs(days, said):
    assert guard_sentences(days, 10) == said
