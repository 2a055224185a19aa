"""Each practice on days worked out by hand, and what holds for every run."""

from __future__ import annotations

from collections import Counter

import pytest

from garage.core.planning.day_problem import Worker
from garage.core.planning.weeks.day_run import DayRun, RollerStay
from garage.core.planning.weeks.drawn_weeks import Workshop, drawn_week
from garage.core.planning.weeks.practices import Policy, Practice, run_under
from garage.core.planning.weeks.week_measures import run_minutes, week_figures
from tests.garage.core.planning.weeks.days_by_hand import a_day, machine, real

OURS = (Practice.EARLIEST_FIT, Practice.PLANNED)
SMALL = Workshop(closes=720, people=(Worker("p1", 510, 720), Worker("p2", 510, 720)), work=1.33)


def stays(run: DayRun) -> list[tuple[str, int, int]]:
    return [(stay.machine, stay.begin, stay.end) for stay in sorted(run.stays, key=lambda stay: stay.begin)]


def under(practice: Practice, *machines, guard: int = 0) -> DayRun:
    return run_under(practice, a_day(*machines), Policy(guard))


@pytest.mark.parametrize("practice", Practice)
def test_a_day_on_which_all_goes_as_planned_is_the_same_under_every_practice(practice):
    """By hand: 540 to 600, 600 to 660, 660 to 720; all three promises kept, 180 of 510 minutes used."""
    run = under(practice, machine("1", 540), machine("2", 600), machine("3", 660))
    assert stays(run) == [("1", 540, 600), ("2", 600, 660), ("3", 660, 720)]
    minutes, week = run_minutes(run), week_figures([run])
    assert (minutes.useful, minutes.lost, minutes.idle, minutes.after_closing) == (180, 0, 330, 0)
    assert (week.kept, week.promises, week.worth_pence) == (3, 3, 24000)


@pytest.mark.parametrize("practice", [Practice.AS_BOOKED, *OURS])
def test_a_session_that_overruns_holds_up_the_next_and_breaks_its_promise_beyond_the_window(practice):
    late = under(practice, machine("1", 540, real=real(roller=75)), machine("2", 600))
    assert stays(late) == [("1", 540, 615), ("2", 615, 675)]
    assert week_figures([late]).kept == 2
    too_late = under(practice, machine("1", 540, real=real(roller=76)), machine("2", 600))
    assert week_figures([too_late]).kept == 1


def test_as_booked_a_bad_machine_is_found_on_the_rollers_and_its_slot_is_lost():
    run = under(Practice.AS_BOOKED, machine("1", 540, is_ready=False), machine("2", 600), machine("3"))
    assert stays(run)[:2] == [("1", 540, 555), ("2", 600, 660)]
    minutes = run_minutes(run)
    assert (minutes.lost, minutes.useful) == (15, 120)  # 2 and 3
    assert week_figures([run]).promises == 1  # no workshop can keep that of 1


@pytest.mark.parametrize("practice", OURS)
def test_a_bad_machine_is_found_at_its_check_and_another_takes_the_rollers(practice):
    """Check 510 to 530 and failed; the waiting one is checked by then, and the bad one is put right until 580."""
    bad = machine("1", 540, is_ready=False, ready=0.5, real=real(fix=200))
    run = under(practice, bad, machine("2", 700), machine("3"))
    assert stays(run)[0][0] == "3"
    assert run_minutes(run).lost == 0
    assert {stay.machine for stay in run.stays} == {"1", "2", "3"}


@pytest.mark.parametrize("practice", [Practice.AS_BOOKED, *OURS, Practice.FORESEEN])
def test_a_machine_that_does_not_come_is_on_no_rollers_and_its_promise_binds_nobody(practice):
    run = under(practice, machine("1", 540, comes=False), machine("2", 600))
    assert stays(run) == [("2", 600, 660)]
    assert (week_figures([run]).kept, week_figures([run]).promises) == (1, 1)


@pytest.mark.parametrize("practice", [Practice.AS_BOOKED, *OURS])
def test_no_session_begins_that_would_not_be_over_by_closing_as_planned_but_a_begun_one_is_finished(practice):
    run = under(practice, machine("1", 960, real=real(roller=90)), machine("2", real=real(check=400)))
    assert stays(run)[-1] == ("1", 960, 1050)
    minutes = run_minutes(run)
    assert minutes.after_closing == 30


def test_who_knows_the_future_mends_a_bad_machine_before_its_check():
    bad = machine("1", is_ready=False, real=real(check=10, fix=30, roller=40))
    assert stays(under(Practice.FORESEEN, bad)) == [("1", 550, 590)]
    assert stays(under(Practice.EARLIEST_FIT, bad)) == [("1", 550, 590)]


def test_idle_people_check_what_the_plan_has_no_room_for():
    """There is no room for a third long session, until the first machine fails its check."""
    bad = machine("1", 570, roller_min=200, is_ready=False, ready=0.9, real=real(fix=300, roller=200))
    sure = machine("2", 790, roller_min=200, real=real(roller=200))
    spare = machine("3", roller_min=200, real=real(roller=200))
    day = a_day(bad, sure, spare)
    prompt = run_under(Practice.PLANNED, day, Policy(0))
    tardy = run_under(Practice.PLANNED, day, Policy(0, idle_work=False))
    assert stays(prompt)[0] == ("3", 560, 760)
    assert stays(tardy)[0] == ("3", 580, 780)


@pytest.mark.parametrize("practice", Practice)
def test_on_every_drawn_day_the_minutes_add_up_and_no_roller_has_two_machines(practice):
    for day in drawn_week(SMALL, seed=5, week=0):
        run = run_under(practice, day, Policy(10))
        busy = Counter((stay.roller, minute) for stay in run.stays for minute in range(stay.begin, stay.end))
        assert set(busy.values()) <= {1}
        lost = {(s.roller, m) for s in run.stays if s.is_lost for m in range(s.begin, s.end)}
        open_minutes = {(1, minute) for minute in range(SMALL.opens, SMALL.closes)}
        minutes = run_minutes(run)
        assert minutes.lost == len(open_minutes & lost)
        assert minutes.useful == len(open_minutes & (busy.keys() - lost))
        assert minutes.idle == len(open_minutes - busy.keys())
        assert len({stay.machine for stay in run.stays}) == len(run.stays)


@pytest.mark.parametrize("practice", Practice)
def test_on_every_drawn_day_only_machines_that_came_take_their_own_minutes(practice):
    for day in drawn_week(SMALL, seed=6, week=0):
        drawn = {one.id: one for one in day.machines}
        for stay in run_under(practice, day, Policy(10)).stays:
            one = drawn[stay.machine]
            assert one.comes
            assert stay.begin >= one.here_from
            assert stay.end - stay.begin == (15 if stay.is_lost else one.real.roller)
            assert one.is_ready or stay.is_lost or practice is not Practice.AS_BOOKED


@pytest.mark.parametrize("practice", Practice)
def test_the_same_day_runs_the_same_way_twice(practice):
    day = drawn_week(SMALL, seed=7, week=1)[3]
    assert run_under(practice, day, Policy(10)) == run_under(practice, day, Policy(10))


def test_a_lost_stay_is_told_from_a_useful_one():
    day = a_day(machine("1"))
    run = DayRun(day, (RollerStay("1", 1, 1000, 1030), RollerStay("2", 1, 600, 615, is_lost=True)))
    minutes = run_minutes(run)
    assert (minutes.useful, minutes.lost, minutes.idle, minutes.after_closing) == (20, 15, 475, 10)
