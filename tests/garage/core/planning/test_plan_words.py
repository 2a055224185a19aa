"""What a plan says in words: why a job is left out, why a promise is broken, what the workshop should know."""

from __future__ import annotations

from dataclasses import replace

import pytest

from garage.core.planning.day_problem import Broken, Job, JobStep, LeftOut, Placed, Worker
from garage.core.planning.placing import Resources
from garage.core.planning.plan_score import Seats
from garage.core.planning.plan_words import broken_promises, jobs_left_out, notes
from tests.garage.core.planning_by_hand import GATE, PEOPLE, ROLLERS, a_day, pinned, seated, visit

NO_ROOM = "Hours, breaks and quiet times leave no room for its"
NO_WAY = "no way was found to have it ready in time with the other jobs."


def why_left_out(job: Job, placed: list[Placed] | None = None, others: Seats | None = None, **changed: object) -> str:
    day = a_day(job, **changed)
    (told,) = jobs_left_out(Resources(day), [], {job.id: placed or []} | (others or {}))
    assert told.job == job.id
    return told.why


def why_broken(job: Job, placed: list[Placed] | None = None, others: Seats | None = None, **changed: object) -> str:
    day = a_day(job, **changed)
    (told,) = broken_promises(Resources(day), [], {job.id: placed or []} | (others or {}))
    assert told.job == job.id
    return told.why


def test_only_jobs_that_are_not_done_are_left_out_and_only_promises_that_are_not_kept_are_broken():
    kept, missed, plain = visit("41", promised=540), visit("42", promised=540), visit("43")
    day = a_day(kept, missed, plain)
    seats = {"41": seated(kept, 520, 540), "42": seated(missed, 530, 600), "43": []}
    room = "The other jobs leave no room for its 60 minutes at the rollers."
    assert jobs_left_out(Resources(day), [], seats | {"43": seated(plain, 480)}) == (LeftOut("43", room),)
    others = "rollers or people are taken at that time by 41 (bench, 08:40 to 08:50), 41 (roller, 09:00 to 10:00)."
    told = broken_promises(Resources(day), [], seats)
    assert told == (Broken("42", f"Promised for 09:00: {others.replace('41 (bench, 08:40 to 08:50), ', '')}"),)


@pytest.mark.parametrize(
    ("job", "changed", "sentence"),
    [
        (visit(), {"benches": 0}, "There is no bench today."),
        (visit("41", GATE, ROLLERS, GATE), {"rollers": 0}, "There are no rollers today."),
        (visit("41", pinned("roller", 30, station=1)), {"rollers": 0}, "There are no rollers today."),
        (visit("41", pinned("bench", 30, station=3)), {}, "It is fixed to bench 3, but the day has only 2."),
        (visit("41", pinned("roller", 30, station=2)), {}, "It is fixed to roller 2, but the day has only 1."),
        (visit(), {"people": ()}, "Nobody here today works at the bench."),
        (visit(), {"people": PEOPLE[1:]}, "Nobody here today works at the rollers."),
        (visit("41", pinned("roller", 30, by="p2")), {}, "It is fixed to p2, who does not work at the rollers."),
        (visit("41", pinned("bench", 30, by="p9")), {}, "It is fixed to p9, who is not here today."),
        (visit("41", pinned("bench", 30, begin=509)), {"now": 510}, "It is fixed for 08:29, and it is already 08:30."),
        (
            visit("41", pinned("bench", 30, begin=499), here_from=500),
            {},
            "It is fixed for 08:19, but the machine is not free before 08:20.",
        ),
        (
            visit("41", JobStep("bench", 30, began=470, by="p1", ended=495), pinned("bench", 30, begin=490)),
            {"now": 485},
            "It has begun and cannot be finished today. "
            "It is fixed for 08:10, but the machine is not free before 08:15.",
        ),
        (visit(gone_by=549), {}, "It needs 70 minutes, more than there are from 08:00 to 09:09."),
        (
            visit("41", JobStep("bench", 30, began=490, by="p1"), GATE, ROLLERS, gone_by=589),
            {"now": 500},
            "It has begun and cannot be finished today. It needs 70 minutes, more than there are from 08:40 to 09:49.",
        ),
        (visit(here_from=1000), {}, f"{NO_ROOM} 60 minutes at the rollers from 16:50."),
        (visit(here_from=700, gone_by=800), {}, f"{NO_ROOM} 60 minutes at the rollers from 11:50 until 13:20."),
        (visit("41", JobStep("bench", 600)), {"now": 700}, f"{NO_ROOM} 600 minutes at the bench from 11:40."),
        (visit("41", pinned("bench", 30, begin=1000, by="p1")), {}, f"{NO_ROOM} 30 minutes at the bench from 08:00."),
    ],
)
def test_a_job_that_fits_no_day_by_itself_is_told_the_first_reason(job, changed, sentence):
    assert why_left_out(job, **changed) == sentence


def test_a_pin_for_this_minute_and_a_stay_that_is_just_long_enough_are_not_the_reason():
    late = {"people": (Worker("p1", 490, 1020),)}
    told = why_left_out(visit("41", pinned("bench", 30, begin=480)), **late)
    assert told == f"{NO_ROOM} 30 minutes at the bench from 08:00."
    told = why_left_out(visit(gone_by=550), **late)
    assert told == f"{NO_ROOM} 60 minutes at the rollers from 08:20 until 09:10."


def test_a_promise_for_midnight_is_a_promise():
    assert why_broken(visit(promised=0), now=16) == "Promised for 00:00: it is already 00:16."


def test_a_job_that_would_fit_alone_is_told_which_step_finds_no_room():
    blocked = {"42": [Placed("42", 0, "roller", 1, "p1", 480, 1020)]}
    assert why_left_out(visit(), others=blocked) == "The other jobs leave no room for its 60 minutes at the rollers."
    nobody = {"42": [Placed("42", 0, "bench", n, f"p{n}", 480, 1020) for n in (1, 2)]}
    assert why_left_out(visit(), others=nobody) == "The other jobs leave no room for its 10 minutes at the bench."


def test_begun_work_that_is_crowded_out_says_so_and_names_the_step_after_what_is_placed():
    over = JobStep("bench", 10, check=True, began=480, by="p1", ended=490)
    job = visit("41", over, JobStep("bench", 20), JobStep("roller", 45), JobStep("bench", 5))
    begun = "It has begun and cannot be finished today. The other jobs leave no room for its "
    blocked = {"42": [Placed("42", 0, "roller", 1, "p2", 480, 1020)]}
    placed = seated(job, 490, first=1)
    assert why_left_out(job, placed, blocked, now=490) == f"{begun}45 minutes at the rollers."
    placed = seated(job, 490, 510, first=1)
    assert why_left_out(job, placed, blocked, now=490) == f"{begun}5 minutes at the bench."


def test_a_job_whose_every_step_finds_room_after_all_is_told_of_its_last_step():
    assert why_left_out(visit()) == "The other jobs leave no room for its 60 minutes at the rollers."


def test_running_work_of_others_counts_as_the_days_own_limit():
    running = [Placed("42", 0, "roller", 1, "p1", 480, 1020)]
    day = a_day(visit())
    (told,) = jobs_left_out(Resources(day), running, {"41": []})
    assert told.why == f"{NO_ROOM} 60 minutes at the rollers from 08:10."
    (told,) = broken_promises(Resources(a_day(visit(promised=540))), running, {"41": []})
    reason = (
        "hours, breaks and quiet times leave no room for its 60 minutes at the rollers from 08:10 in time for 09:00"
    )
    assert told.why == f"Promised for 09:00: {reason}."


@pytest.mark.parametrize(
    ("job", "changed", "sentence"),
    [
        (visit("41", GATE, promised=540), {}, "no roller work is left in the job."),
        (
            visit("41", replace(ROLLERS, began=556, by="p1"), promised=540),
            {"now": 560},
            "it went on the rollers at 09:16.",
        ),
        (visit(promised=540), {"now": 556}, "it is already 09:16."),
        (visit(promised=540, here_from=556), {}, "the machine is not here before 09:16."),
        (visit(promised=540), {"rollers": 0}, "there are no rollers today."),
        (
            visit(promised=540, here_from=550),
            {},
            f"{NO_ROOM.lower()} 60 minutes at the rollers from 09:20 in time for 09:00.",
        ),
        (visit("41", ROLLERS, promised=540, here_from=555), {}, NO_WAY),
        (visit("41", ROLLERS, promised=540), {"now": 555}, NO_WAY),
    ],
)
def test_a_broken_promise_is_told_its_time_and_the_first_reason(job, changed, sentence):
    assert why_broken(job, **changed) == f"Promised for 09:00: {sentence}"


def test_a_promise_broken_on_the_rollers_themselves_names_their_minute_and_not_that_of_the_check():
    job = visit("41", replace(GATE, began=500, by="p1", ended=510), replace(ROLLERS, began=600, by="p1"), promised=540)
    told = why_broken(job, [Placed("41", 1, "roller", 1, "p1", 600, 660)], now=620)
    assert told == "Promised for 09:00: it went on the rollers at 10:00."


def test_a_broken_promise_names_every_work_of_others_between_its_time_and_the_end_of_its_window():
    others = {
        "42": [Placed("42", 0, "bench", 1, "p1", 500, 541), Placed("42", 1, "roller", 1, "p1", 614, 700)],
        "43": [Placed("43", 0, "bench", 1, "p2", 480, 540), Placed("43", 1, "bench", 1, "p2", 615, 700)],
    }
    mine = [Placed("41", 0, "bench", 2, "p2", 540, 550)]
    assert why_broken(visit(promised=540), mine, others) == (
        "Promised for 09:00: rollers or people are taken at that time by 42 (bench, 08:20 to 09:01), "
        "42 (roller, 10:14 to 11:40)."
    )


def test_nothing_is_said_of_a_day_that_is_in_order():
    job = visit(promised=540, gone_by=600)
    assert notes(a_day(job, guard=10), {"41": seated(job, 500, 540)}) == ()


def test_clashes_in_begun_work_are_reported_by_place_and_by_person():
    def on(number: str, at: str, by: str) -> tuple[Job, list[Placed]]:
        job = visit(number, JobStep(at, 60, began=480, by=by), JobStep(at, 30))
        return job, seated(job, 480, 800, by=by)

    pairs = [on("41", "roller", "p1"), on("42", "roller", "p2"), on("43", "bench", "p1"), on("44", "bench", "p1")]
    seats = {job.id: placed for job, placed in pairs}
    assert notes(a_day(*(job for job, _ in pairs), now=500), seats) == (
        "2 steps are running at the rollers, but there is room for 1.",
        "p1 has 41 and 43 and 44 under way at once.",
    )
    assert notes(a_day(*(job for job, _ in pairs), now=500, rollers=2, benches=1), seats)[0] == (
        "2 steps are running at the bench, but there is room for 1."
    )


def test_work_that_runs_past_the_time_it_should_be_done_by_is_reported_with_its_last_step():
    steps = (JobStep("bench", 60, began=480, by="p1"), JobStep("bench", 30))
    job = visit("41", *steps, gone_by=569)
    seats = {"41": seated(job, 480, 540)}
    assert notes(a_day(job, now=500), seats) == ("41 runs until 09:30 but should be done by 09:29.",)
    assert notes(a_day(replace(job, gone_by=570), now=500), seats) == ()
    assert notes(a_day(replace(job, gone_by=None), now=500), seats) == ()
    assert notes(a_day(replace(job, gone_by=530), now=500), {"41": seated(job, 480)}) == ()
    over = visit("41", replace(steps[0], ended=540), gone_by=530)
    assert notes(a_day(over, now=560), {"41": []}) == ()


def test_kept_promises_without_clear_minutes_are_noted_in_one_sentence_in_order_of_their_time():
    late, early, broken = visit("41", promised=600), visit("42", promised=540), visit("43", promised=700)
    seats = {"41": seated(late, 585, 600), "42": seated(early, 525, 540), "43": seated(broken, 690, 730)}
    plain, clear = visit("44"), visit("45", promised=900)
    seats |= {"44": seated(plain, 800, 810), "45": seated(clear, 880, 900)}
    assert notes(a_day(early, broken, plain, clear, guard=10), seats) == (
        "Tight at 09:00: 42 does not have 10 clear minutes before its promise.",
    )
    assert notes(a_day(late, early, broken, plain, clear, guard=10), seats) == (
        "Tight: 42 at 09:00 and 41 at 10:00 do not have 10 clear minutes before their promises.",
    )
    last = visit("46", promised=660)
    seats["46"] = seated(last, 645, 660)
    assert notes(a_day(last, late, early, guard=10), seats) == (
        "Tight: 42 at 09:00, 41 at 10:00 and 46 at 11:00 do not have 10 clear minutes before their promises.",
    )


def test_checks_ahead_of_machines_in_doubt_are_noted_in_order_of_time():
    later, sooner, sure = visit("41", ready=0.296), visit("42", ready=0.79), visit("43", ready=0.8)
    same = visit("40", ready=0.5)
    seats = {"41": seated(later, 700), "42": seated(sooner, 600), "43": seated(sure, 500), "40": seated(same, 700)}
    assert notes(a_day(later, sooner, sure, same), seats) == (
        "Check 42 at 10:00: it may well fail (79 in 100 pass).",
        "Check 40 at 11:40: it may well fail (50 in 100 pass).",
        "Check 41 at 11:40: it may well fail (30 in 100 pass).",
    )


def test_a_check_that_is_over_and_work_that_is_no_check_are_not_noted():
    over = visit("41", replace(GATE, began=480, by="p1", ended=490), ROLLERS, ready=0.3)
    plain = visit("42", JobStep("bench", 30), ready=0.3)
    assert notes(a_day(over, plain), {"41": seated(over, 500, first=1), "42": seated(plain, 600)}) == ()


RISKY = visit("41", ready=0.3)
CHECKED = JobStep("bench", 10, check=True, began=480, by="p2", ended=490)
MAY_FAIL = "Check 41 at 09:40: it may well fail (30 in 100 pass)"
NOTHING = ", and no other machine is ready for the rollers at 10:00."


def by(when: str) -> str:
    return f"; 43, {when}, can then take the rollers at 10:00."


def cover(*others: tuple[Job, list[Placed]], risky: Job = RISKY, mine: tuple[int, ...] = (580, 600)) -> str:
    """What is said of who takes the rollers if 41 fails its check."""
    day = a_day(risky, *(job for job, _ in others), now=500)
    told = notes(day, {risky.id: seated(risky, *mine)} | {job.id: placed for job, placed in others})[0]
    assert told.startswith(MAY_FAIL)
    return told.removeprefix(MAY_FAIL)


@pytest.mark.parametrize(
    ("other", "placed", "told"),
    [
        (visit("43"), [(0, 590), (1, 700)], by("checked by 10:00")),
        (visit("43"), [(0, 591), (1, 700)], NOTHING),
        (visit("43"), [(0, 590), (1, 601)], by("checked by 10:00")),
        (visit("43"), [(0, 510), (1, 600)], NOTHING),
        (visit("43"), [(0, 510), (1, 520)], NOTHING),
        (visit("43"), [(0, 510)], by("checked by 08:40")),
        (visit("43"), [], NOTHING),
        (visit("43", CHECKED, ROLLERS), [], by("which is checked")),
        (visit("43", CHECKED, ROLLERS), [(1, 700)], by("which is checked")),
        (visit("43", replace(CHECKED, ended=None), ROLLERS), [(0, 495), (1, 700)], by("checked by 08:25")),
        (visit("43", CHECKED, JobStep("bench", 30), ROLLERS), [(1, 571), (2, 700)], NOTHING),
        (visit("43", CHECKED, JobStep("bench", 30), ROLLERS), [(1, 570), (2, 700)], by("which is checked")),
        (visit("43", CHECKED, JobStep("roller", 61)), [(1, 700)], NOTHING),
        (visit("43", CHECKED, ROLLERS, here_from=600), [(1, 700)], by("which is checked")),
        (visit("43", CHECKED, ROLLERS, here_from=601), [(1, 700)], NOTHING),
        (visit("43", CHECKED, ROLLERS, promised=700), [(1, 700)], NOTHING),
        (visit("43", CHECKED, ROLLERS, gone_by=660), [], by("which is checked")),
        (visit("43", CHECKED, ROLLERS, gone_by=659), [], NOTHING),
        (visit("43", CHECKED, ROLLERS, JobStep("bench", 5), gone_by=660), [], NOTHING),
        (visit("43", CHECKED, pinned("roller", 60, begin=700)), [(1, 700)], NOTHING),
        (visit("43", CHECKED, pinned("roller", 60, by="p1")), [(1, 700)], by("which is checked")),
        (visit("43", CHECKED, pinned("roller", 60, by="p2")), [(1, 700)], NOTHING),
        (visit("43", CHECKED, pinned("roller", 60, station=1)), [(1, 700)], by("which is checked")),
        (visit("43", CHECKED, pinned("roller", 60, station=2)), [(1, 700)], NOTHING),
        (visit("43", JobStep("bench", 60)), [(0, 700)], NOTHING),
        (visit("43", CHECKED, JobStep("roller", 20, began=490, by="p1", ended=510), ROLLERS), [(2, 700)], NOTHING),
    ],
)
def test_a_machine_covers_if_it_is_here_and_checked_by_then_and_its_roller_work_comes_later_and_fits(
    other, placed, told
):
    seats = [seated(other, begin, first=index)[0] for index, begin in placed]
    assert cover((other, seats)) == told


def test_a_machine_whose_check_is_over_covers_first_then_the_surest_and_of_two_the_one_worth_more():
    def waiting(number: str, ready: float, worth: int = 0, check: JobStep = GATE) -> tuple[Job, list[Placed]]:
        job = visit(number, check, ROLLERS, ready=ready, worth=worth)
        return job, [] if check.ended else seated(job, 510)

    sure = by("checked by 08:40")
    assert cover(waiting("42", 0.8), waiting("43", 0.9), waiting("44", 0.85, 9000)) == sure
    assert cover(waiting("42", 0.9, 5000), waiting("43", 0.9, 9000), waiting("44", 0.9, 7000)) == sure
    assert cover(waiting("42", 0.99, 5000), waiting("43", 0.4, 0, CHECKED)) == by("which is checked")


def test_while_a_risky_check_is_under_way_it_is_said_who_takes_the_rollers():
    begun = visit("41", JobStep("bench", 30, check=True, began=490, by="p1"), ROLLERS, ready=0.3)
    waiting = visit("43", CHECKED, ROLLERS)
    day = a_day(begun, waiting, now=500)
    assert notes(day, {"41": seated(begun, 490, 520), "43": []}) == (
        "The check of 41 is under way: it may well fail (30 in 100 pass);"
        " 43, which is checked, can then take the rollers at 08:40.",
    )


def test_nothing_is_said_of_cover_for_a_machine_that_has_no_roller_work_ahead():
    waiting = (visit("43", CHECKED, ROLLERS), [])
    assert cover(waiting, mine=(580,)) == "."
    assert cover(waiting, risky=visit("41", GATE, ready=0.3)) == "."
    begun = visit("41", JobStep("roller", 10, began=480, by="p1", ended=490), GATE, JobStep("roller", 60), ready=0.3)
    day = a_day(begun, waiting[0], now=500)
    assert notes(day, {"41": seated(begun, 580, 600, first=1), "43": []}) == (f"{MAY_FAIL}.",)


def test_what_is_left_out_and_can_be_checked_in_idle_minutes_is_named_with_who_is_idle():
    """p1 is on the rollers until 16:50; p2, who works at the bench alone, is idle. 44, surer than 42, is for the bench
    alone: it has 08:10 to 08:40 and is not named.
    """
    long = visit("41", JobStep("roller", 530))
    seats = {"41": seated(long, 480), "42": [], "43": [], "44": []}
    told = "No room today, but idle minutes at the bench: {}. Checked, {} can take the rollers if one fails."
    assert notes(a_day(long, visit("42")), seats) == (told.format("42 at 08:00 by p2", "it"),)
    both = a_day(long, visit("42", ready=0.8), visit("43"), visit("44", JobStep("bench", 30)))
    assert notes(both, seats) == (told.format("43 at 08:00 by p2, 42 at 08:40 by p2", "they"),)
    assert notes(a_day(long, visit("42"), people=PEOPLE[:1]), seats) == ()
    assert notes(a_day(long, visit("42", CHECKED, ROLLERS)), seats) == ()
