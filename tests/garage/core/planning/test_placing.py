"""Beginnings found by shifts against beginnings found by looking at every minute."""

from hypothesis import given
from hypothesis import strategies as st

from garage.core.planning.day_problem import DayProblem, Job, JobStep, Placed, Worker
from garage.core.planning.placing import Floor, Resources, beginnings, chain, earliest, limits, released, span
from tests.garage.core.planning_by_hand import GATE, ROLLERS, begins, pinned

BENCH = frozenset({"bench"})
ONE = (Worker("p1", 480, 600),)
VISIT = Job("41", 480, (GATE, ROLLERS))


def a_floor(people: tuple[Worker, ...] = ONE, jobs: tuple[Job, ...] = (), **changed: object) -> Floor:
    return Floor(
        Resources(
            DayProblem(
                **{"day": "2027-03-10", "now": 480, "rollers": 1, "benches": 1} | changed, people=people, jobs=jobs
            )
        )
    )


def minutes(bits: int) -> list[int]:
    return [minute for minute in range(bits.bit_length()) if bits >> minute & 1]


def held(at: str, begin: int, end: int, station: int = 1, by: str = "p1", job: str = "40") -> Placed:
    return Placed(job, 0, at, station, by, begin, end)


@given(st.integers(0, 2**200 - 1), st.integers(1, 120))
def test_start_minutes_are_those_from_which_everything_is_free(free, minutes):
    slow = sum(1 << t for t in range(200) if all(free >> m & 1 for m in range(t, t + minutes)))
    assert beginnings(free, minutes) == slow


@given(st.integers(0, 2**100), st.integers(0, 110), st.integers(0, 110))
def test_the_earliest_is_the_lowest_set_bit_between_the_limits(bits, lower, upper):
    slow = [t for t in range(lower, upper + 1) if bits >> t & 1]
    assert earliest(bits, lower, upper) == (slow[0] if slow else None)


@given(st.integers(0, 60), st.integers(0, 60))
def test_a_span_has_one_bit_a_minute(begin, end):
    assert span(begin, end) == sum(1 << t for t in range(begin, end))


def test_the_less_skilled_are_asked_first_and_a_chain_leaves_the_floor_unchanged():
    people = (Worker("p1", 480, 600), Worker("p2", 480, 600, skills=frozenset({"bench"})))
    job = Job("41", 480, (JobStep("bench", 10), JobStep("roller", 60)))
    floor = Floor(Resources(DayProblem("2027-03-10", 480, 1, 1, people, (job,))))
    first, second = chain(floor, job, in_window=False), chain(floor, job, in_window=False)
    assert first == second
    assert [p.by for p in first] == ["p2", "p1"]
    assert (
        chain(floor, Job("42", 480, (JobStep("bench", 90), JobStep("roller", 60))), in_window=False)[-1].at == "bench"
    )


def test_a_person_works_in_their_hours_outside_breaks_and_held_work():
    floor = a_floor((Worker("p1", 480, 540, ((490, 500), (520, 525))),))
    floor.hold(held("bench", 505, 510))
    assert minutes(floor.person_starts("p1", 1)) == [
        *range(480, 490),
        *range(500, 505),
        *range(510, 520),
        *range(525, 540),
    ]
    assert minutes(floor.person_starts("p1", 10)) == [480, 510, *range(525, 531)]


def test_the_rollers_stand_still_in_quiet_times_and_the_bench_does_not():
    floor = a_floor(quiet_rollers=((0, 700), (710, 1440)))
    assert minutes(floor.station_starts("roller", 1, 4)) == list(range(700, 707))
    assert minutes(floor.station_starts("bench", 1, 1440)) == [0]
    assert minutes(floor.station_starts("bench", 1, 1438)) == [0, 1, 2]


def test_held_work_keeps_its_own_station_and_its_own_person_busy_and_nobody_else():
    two = (Worker("p1", 480, 500), Worker("p2", 480, 500))
    floor = a_floor(two, rollers=2)
    floor.hold(held("roller", 485, 490, station=2))
    assert minutes(floor.person_starts("p1", 1)) == [*range(480, 485), *range(490, 500)]
    assert minutes(floor.person_starts("p2", 1)) == list(range(480, 500))
    assert minutes(floor.station_starts("roller", 2, 950)) == list(range(490, 491))
    assert minutes(floor.station_starts("roller", 1, 1440)) == minutes(floor.station_starts("bench", 1, 1440)) == [0]


def test_work_may_be_held_with_the_minutes_before_it_and_by_whom_and_where_the_day_does_not_know():
    floor = a_floor()
    floor.hold(held("bench", 500, 505), before=15)
    floor.hold(held("roller", 5, 10, station=7, by="Jo"), before=15)
    floor.hold(held("roller", 20, 22, station=7, by="Jo"))
    floor.hold(held("bench", 550, 551))
    assert floor.work == {"p1": span(485, 505) | span(550, 551), "Jo": span(0, 10) | span(20, 22)}
    assert floor.taken == {
        ("bench", 1): span(485, 505) | span(550, 551),
        ("roller", 1): 0,
        ("roller", 7): span(0, 10) | span(20, 22),
    }


def test_a_copied_floor_holds_the_same_and_what_is_added_to_it_stays_its_own():
    floor = a_floor()
    floor.hold_all([held("bench", 500, 505), held("roller", 510, 515)])
    twin = floor.copy()
    assert (twin.resources, twin.work, twin.taken) == (floor.resources, floor.work, floor.taken)
    assert floor.work["p1"] == span(500, 505) | span(510, 515)
    twin.hold(held("bench", 520, 525))
    assert twin.work["p1"] == floor.work["p1"] | span(520, 525)
    assert floor.taken["bench", 1] == span(500, 505)
    assert twin.taken["bench", 1] == span(500, 505) | span(520, 525)


def test_a_step_begins_where_a_person_and_a_station_are_free_and_nobody_and_nowhere_means_never():
    floor = a_floor((Worker("p1", 480, 500), Worker("p2", 490, 520, skills=BENCH)), rollers=2, benches=0)
    assert minutes(floor.starts(JobStep("roller", 15))) == list(range(480, 486))
    assert floor.starts(JobStep("bench", 15)) == 0
    assert a_floor(()).starts(JobStep("bench", 15)) == 0
    for number in (1, 2):
        floor.hold(held("roller", 483 + number, 500 + number, station=number, by="Jo"))
    assert minutes(floor.starts(JobStep("roller", 4))) == [480, 481]
    assert minutes(floor.starts(JobStep("roller", 1))) == list(range(480, 485))


def test_a_pin_leaves_only_its_person_and_its_station():
    floor = a_floor((Worker("p1", 480, 500), Worker("p2", 500, 520)), rollers=2)
    floor.hold(held("roller", 505, 600, station=2, by="Jo"))
    assert minutes(floor.starts(pinned("roller", 10, by="p2"))) == list(range(500, 511))
    assert minutes(floor.starts(pinned("roller", 10, station=2))) == [*range(480, 491)]
    assert floor.starts(pinned("roller", 10, by="p9")) == floor.starts(pinned("roller", 10, station=3)) == 0


def test_people_and_stations_with_work_in_the_minutes_to_be_clear_are_passed_over():
    floor = a_floor((Worker("p1", 480, 600), Worker("p2", 480, 600)), rollers=2)
    floor.hold(held("roller", 500, 505))
    job, clear = Job("41", 480, (ROLLERS,)), span(490, 510)
    placed = floor.seat(job, 0, 510, clear)
    assert placed == Placed("41", 0, "roller", 2, "p2", 510, 570)
    assert minutes(floor.starts(ROLLERS, clear)) == list(range(480, 541))
    assert floor.seat(job, 0, 510, clear, by="p1") is None
    floor.hold(held("roller", 509, 510, station=2, by="Jo"))
    assert floor.seat(job, 0, 510, clear) is None
    assert floor.starts(ROLLERS, clear) == 0
    assert floor.seat(job, 0, 510) == Placed("41", 0, "roller", 1, "p1", 510, 570)
    floor.hold(held("bench", 490, 491, by="p2"))
    assert floor.starts(ROLLERS, span(490, 509)) == 0


def test_a_seat_is_given_only_at_a_minute_that_is_free():
    floor = a_floor()
    job = Job("41", 480, (GATE, ROLLERS))
    floor.hold(held("roller", 500, 505, by="Jo"))
    assert floor.seat(job, 1, 505) == Placed("41", 1, "roller", 1, "p1", 505, 565)
    assert floor.seat(job, 1, 504) is None
    assert floor.seat(job, 1, 541) is None
    assert floor.seat(job, 0, 500) == Placed("41", 0, "bench", 1, "p1", 500, 510)


def test_a_step_stays_with_the_person_and_at_the_station_of_the_current_plan_while_they_are_free():
    two = (Worker("p1", 480, 600), Worker("p2", 480, 600))
    standing = (Placed("41", 1, "roller", 2, "p2", 500, 560), Placed("42", 0, "bench", 1, "p1", 480, 490))
    floor = a_floor(two, rollers=3, standing=standing)
    assert floor.seat(VISIT, 1, 510) == Placed("41", 1, "roller", 2, "p2", 510, 570)
    assert floor.seat(VISIT, 1, 510, by="p1") == Placed("41", 1, "roller", 2, "p1", 510, 570)
    assert floor.seat(VISIT, 0, 500) == Placed("41", 0, "bench", 1, "p1", 500, 510)
    floor.hold(held("roller", 510, 520, station=2, by="p2"))
    assert floor.seat(VISIT, 1, 510) == Placed("41", 1, "roller", 1, "p1", 510, 570)


def test_stations_are_taken_from_the_first_and_those_somebody_fixed_last():
    fixed = Job("42", 480, (pinned("roller", 30, station=1), pinned("bench", 30, by="p1")))
    resources = Resources(DayProblem("2027-03-10", 480, 3, 2, ONE, (VISIT, fixed)))
    assert resources.stations == {"roller": (2, 3, 1), "bench": (1, 2)}
    assert resources.named == {"p1"}


def test_each_kind_of_work_has_its_people_the_less_skilled_first():
    people = (Worker("p1", 480, 600), Worker("p2", 480, 600, skills=BENCH), Worker("p3", 480, 600, skills=frozenset()))
    resources = Resources(DayProblem("2027-03-10", 480, 1, 1, people, ()))
    assert resources.able == {"bench": ("p2", "p1"), "roller": ("p1",)}
    assert resources.skills == {"p1": frozenset({"bench", "roller"}), "p2": BENCH, "p3": frozenset()}


def test_a_step_may_begin_once_the_machine_is_here_and_must_be_over_when_it_goes():
    assert limits(VISIT, 1, in_window=False) == (480, 1380)
    assert limits(Job("41", 480, (GATE, ROLLERS), gone_by=600), 0, in_window=False) == (480, 590)


def test_a_pinned_step_begins_at_its_minute_unless_the_machine_is_not_there_then():
    job = Job("41", 480, (pinned("bench", 30, begin=500), pinned("bench", 30, begin=470)), gone_by=520)
    assert limits(job, 0, in_window=True) == (500, 490)
    assert limits(Job("41", 480, job.steps), 0, in_window=False) == (500, 500)
    assert limits(Job("41", 480, job.steps), 1, in_window=False) == (480, 470)


def test_a_promise_gives_the_first_roller_step_its_quarter_of_an_hour_and_no_other_step():
    job = Job("41", 480, (GATE, ROLLERS, JobStep("roller", 20)), gone_by=700, promised=540)
    assert [limits(job, index, in_window=True) for index in range(3)] == [(480, 690), (540, 555), (480, 680)]
    assert limits(job, 1, in_window=False) == (480, 640)
    assert limits(VISIT, 1, in_window=True) == (480, 1380)
    assert limits(Job("41", 550, (ROLLERS,), gone_by=610, promised=540), 0, in_window=True) == (550, 550)


def test_the_next_step_waits_for_now_and_for_what_has_begun():
    day = DayProblem("2027-03-10", 600, 1, 1, ONE, ())
    over = JobStep("bench", 10, began=500, by="p1", ended=512)
    assert released(day, VISIT) == 600
    assert released(day, Job("41", 480, (over, ROLLERS))) == 600
    assert released(day, Job("41", 480, (JobStep("bench", 10, began=590, by="p1", ended=605), ROLLERS))) == 605
    assert released(day, Job("41", 480, (over, JobStep("bench", 30, began=580, by="p1"), ROLLERS))) == 610
    assert released(day, Job("41", 480, (JobStep("bench", 10, began=500, by="p1"), ROLLERS))) == 605


def test_each_step_of_a_chain_is_as_early_as_the_one_before_and_the_machine_allow():
    floor = a_floor((Worker("p1", 480, 700),))
    floor.hold(held("roller", 500, 510, by="Jo"))
    assert begins(chain(floor, VISIT, in_window=False)) == [(0, 480), (1, 510)]
    assert begins(chain(floor, Job("41", 505, (GATE, ROLLERS)), in_window=False)) == [(0, 505), (1, 515)]
    begun = (JobStep("bench", 10, began=470, by="p1"), JobStep("bench", 10), ROLLERS)
    assert begins(chain(floor, Job("41", 460, begun), in_window=False)) == [(1, 485), (2, 510)]


def test_a_chain_ends_before_the_first_step_that_does_not_fit():
    floor = a_floor()
    job = Job("41", 480, (GATE, JobStep("roller", 115), JobStep("bench", 1)))
    assert begins(chain(floor, job, in_window=False)) == [(0, 480)]
    assert chain(floor, Job("41", 480, (JobStep("bench", 121), GATE)), in_window=False) == []


def test_a_promised_step_waits_for_its_time_and_a_missed_window_is_no_place():
    floor = a_floor((Worker("p1", 480, 700),))
    promised = Job("41", 480, (GATE, ROLLERS), promised=540)
    assert begins(chain(floor, promised, in_window=True)) == [(0, 480), (1, 540)]
    assert begins(chain(floor, promised, in_window=False)) == [(0, 480), (1, 490)]
    floor.hold(held("roller", 500, 555, by="Jo"))
    assert begins(chain(floor, promised, in_window=True)) == [(0, 480), (1, 555)]
    floor.hold(held("roller", 555, 556, by="Jo"))
    assert begins(chain(floor, promised, in_window=True)) == [(0, 480)]


def test_a_guarded_promise_has_its_minutes_clear_of_its_own_check_and_of_other_work():
    def guarded(here_from: int, *busy: Placed) -> list[tuple[int, int]]:
        floor = a_floor((Worker("p1", 480, 700), Worker("p2", 480, 700, skills=BENCH)), guard=20)
        floor.hold_all(busy)
        return begins(chain(floor, Job("41", here_from, (GATE, ROLLERS), promised=540), in_window=True, guarded=True))

    assert guarded(510) == [(0, 510), (1, 540)]
    assert guarded(511) == []
    assert guarded(480, held("roller", 510, 520, by="Jo")) == [(0, 480), (1, 540)]
    assert guarded(480, held("roller", 510, 521, by="Jo")) == [(0, 480)]
    assert guarded(480, held("bench", 539, 540)) == [(0, 480)]
    assert guarded(480, held("bench", 539, 540, by="p2")) == [(0, 480), (1, 540)]


def test_only_a_promise_in_its_window_is_guarded_and_only_up_to_the_rollers():
    floor = a_floor((Worker("p1", 480, 700),), guard=20)
    job = Job("41", 515, (GATE, ROLLERS, JobStep("bench", 30)), promised=540)
    assert begins(chain(floor, job, in_window=False, guarded=True)) == [(0, 515), (1, 525), (2, 585)]
    assert begins(chain(floor, job, in_window=True)) == [(0, 515), (1, 540), (2, 600)]
    early = Job("41", 480, job.steps, promised=540)
    assert begins(chain(floor, early, in_window=True, guarded=True)) == [(0, 480), (1, 540), (2, 600)]
    bench_only = Job("41", 515, (GATE,), promised=520)
    assert begins(chain(floor, bench_only, in_window=True, guarded=True)) == [(0, 515)]
    unpromised = Job("41", 515, (GATE, ROLLERS))
    assert begins(chain(floor, unpromised, in_window=True, guarded=True)) == [(0, 515), (1, 525)]


def test_the_minutes_to_be_clear_begin_at_midnight_at_the_earliest():
    floor = a_floor((Worker("p1", 0, 100),), now=0, guard=20)
    floor.hold(held("bench", 4, 5))
    job = Job("41", 0, (ROLLERS,), promised=10)
    assert chain(floor, job, in_window=True, guarded=True) == []
    assert begins(chain(floor, job, in_window=True)) == [(0, 10)]
    assert begins(chain(a_floor((Worker("p1", 0, 100),), now=0, guard=20), job, True, guarded=True)) == [(0, 10)]
