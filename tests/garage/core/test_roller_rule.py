"""What keeps a machine off the rollers: every act × every stop. The table is the house's own (DEVELOPERS.md)."""

from dataclasses import replace

import pytest

from garage.core import routes, states
from garage.core.errors import Refused
from garage.core.roller_rule import STOPS, RollerAct, RollerFacts, StopKind, check, stop_for

FINE = RollerFacts(41, states.HERE, has_passed_gate=True, has_pulled_clean=True)
PINKS = "It pinks."
STOPPED = {  # the facts in which one stop stands and no other
    StopKind.MUST_NOT_RUN: replace(FINE, must_not_run=(PINKS,)),
    StopKind.MARKED: replace(FINE, route=routes.DO_NOT_RUN),
    StopKind.NOT_HERE: replace(FINE, state=states.BOOKED),
    StopKind.NO_GATE: replace(FINE, has_passed_gate=False),
    StopKind.FOR_GOOD: replace(FINE, failed_for_good=("It leaks.", "It has no brakes.")),
    StopKind.NOT_PULLED: replace(FINE, has_pulled_clean=False),
}
ACTS = {
    (RollerAct.GO_ON, StopKind.MUST_NOT_RUN),
    (RollerAct.GO_ON, StopKind.MARKED),
    (RollerAct.GO_ON, StopKind.NOT_HERE),
    (RollerAct.GO_ON, StopKind.NO_GATE),
    (RollerAct.STAND_THERE, StopKind.MUST_NOT_RUN),
    (RollerAct.STAND_THERE, StopKind.MARKED),
    (RollerAct.STAND_THERE, StopKind.NOT_HERE),
    (RollerAct.STAND_THERE, StopKind.NO_GATE),
    (RollerAct.HAVE_TIME, StopKind.MUST_NOT_RUN),
    (RollerAct.HAVE_TIME, StopKind.MARKED),
    (RollerAct.BE_PLANNED, StopKind.MUST_NOT_RUN),
    (RollerAct.BE_PLANNED, StopKind.MARKED),
    (RollerAct.RUN_HARD, StopKind.MUST_NOT_RUN),
    (RollerAct.BE_RIDDEN, StopKind.MUST_NOT_RUN),
    (RollerAct.BE_RIDDEN, StopKind.MARKED),
    (RollerAct.BE_RIDDEN, StopKind.NOT_HERE),
    (RollerAct.BE_RIDDEN, StopKind.NO_GATE),
    (RollerAct.BE_RIDDEN, StopKind.FOR_GOOD),
    (RollerAct.JET_DOWN, StopKind.MUST_NOT_RUN),
    (RollerAct.JET_DOWN, StopKind.MARKED),
    (RollerAct.JET_DOWN, StopKind.NOT_HERE),
    (RollerAct.JET_DOWN, StopKind.NO_GATE),
    (RollerAct.JET_DOWN, StopKind.FOR_GOOD),
    (RollerAct.JET_DOWN, StopKind.NOT_PULLED),
    (RollerAct.THROUGH_THE_GATE, StopKind.MUST_NOT_RUN),
    (RollerAct.THROUGH_THE_GATE, StopKind.NOT_HERE),
    (RollerAct.OVERRIDE, StopKind.MUST_NOT_RUN),
    (RollerAct.OVERRIDE, StopKind.MARKED),
    (RollerAct.OVERRIDE, StopKind.NOT_HERE),
    (RollerAct.OVERRIDE, StopKind.FOR_GOOD),
}


@pytest.mark.parametrize("act", RollerAct)
@pytest.mark.parametrize("kind", StopKind)
def test_each_stop_stands_against_the_acts_it_is_for_and_no_other(act, kind):
    stop = stop_for(act, STOPPED[kind])
    assert (stop.kind if stop else None) == (kind if (act, kind) in ACTS else None)


def test_the_gate_at_the_bench_is_enough_to_stand_there_and_not_to_run():
    half = RollerFacts(41, states.HERE, has_passed_at_bench=True)
    assert stop_for(RollerAct.STAND_THERE, half) is None
    assert stop_for(RollerAct.GO_ON, half).kind is StopKind.NO_GATE
    with pytest.raises(Refused, match="Visit 41 has not passed the gate at the bench"):
        check(RollerAct.STAND_THERE, RollerFacts(41, states.HERE))


def test_the_gate_at_the_bench_is_enough_for_the_road_and_what_was_let_through_is_not():
    half = RollerFacts(41, states.HERE, has_passed_at_bench=True)
    check(RollerAct.BE_RIDDEN, half)
    with pytest.raises(Refused, match="Visit 41 has not passed the gate at the bench, where tyres, brakes"):
        check(RollerAct.BE_RIDDEN, RollerFacts(41, states.HERE))
    with pytest.raises(Refused, match=r"for the rollers is not for the road: The tyre is worn\. Put it right"):
        check(RollerAct.BE_RIDDEN, replace(half, failed_for_good=("The tyre is worn.",)))


def test_a_smaller_main_jet_needs_the_gate_at_the_bench_and_a_pull_that_held():
    half = RollerFacts(41, states.HERE, has_passed_at_bench=True, has_pulled_clean=True)
    check(RollerAct.JET_DOWN, half)
    with pytest.raises(Refused, match=r"where spark, timing and air leaks are looked at: no smaller main jet"):
        check(RollerAct.JET_DOWN, replace(half, has_passed_at_bench=False))
    with pytest.raises(Refused, match=r"is not for a smaller main jet: The rev-out shows a ceiling\."):
        check(RollerAct.JET_DOWN, replace(half, failed_for_good=("The rev-out shows a ceiling.",)))
    with pytest.raises(Refused, match=r"^Visit 41 has no run at working load yet that did not break down"):
        check(RollerAct.JET_DOWN, replace(half, has_pulled_clean=False))


@pytest.mark.parametrize("act", RollerAct)
def test_nothing_stands_against_a_machine_in_order(act):
    assert stop_for(act, FINE) is None
    check(act, FINE)


@pytest.mark.parametrize("act", RollerAct)
@pytest.mark.parametrize("route", sorted(routes.WORDS))
@pytest.mark.parametrize("state", sorted(states.WORDS))
def test_a_do_not_run_finding_stops_every_act_whatever_else_is_known(act, route, state):
    found = RollerFacts(41, state, must_not_run=(PINKS,), route=route, has_passed_gate=True)
    with pytest.raises(Refused, match=r"Visit 41 must not run. It pinks\. "):
        check(act, found)


@pytest.mark.parametrize("state", sorted(states.WORDS))
def test_a_persons_word_holds_for_the_owner_and_the_gate_is_where_it_is_lifted(state):
    marked = RollerFacts(41, state, route=routes.DO_NOT_RUN)
    is_here = state in states.IN_THE_BUILDING
    assert (stop_for(RollerAct.RUN_HARD, marked) is None) == is_here
    assert (stop_for(RollerAct.THROUGH_THE_GATE, marked) is None) == is_here


@pytest.mark.parametrize("state", sorted(states.WORDS))
def test_only_what_is_in_the_building_goes_on(state):
    stop = stop_for(RollerAct.GO_ON, RollerFacts(41, state, has_passed_gate=True))
    assert (stop is None) == (state in states.IN_THE_BUILDING)


@pytest.mark.parametrize("route", sorted(routes.WORDS.keys() - {routes.DO_NOT_RUN}))
@pytest.mark.parametrize("act", RollerAct)
def test_no_other_route_stops_anything(act, route):
    assert stop_for(act, replace(FINE, route=route)) is None


def test_the_gravest_stop_is_the_one_that_is_said():
    every = RollerFacts(
        41, states.BOOKED, must_not_run=(PINKS,), route=routes.DO_NOT_RUN, failed_for_good=("It leaks.",)
    )
    assert {stop_for(act, every).kind for act in RollerAct} == {StopKind.MUST_NOT_RUN}
    assert set(STOPS) == set(RollerAct)


@pytest.mark.parametrize(
    ("act", "instead"),
    [
        (RollerAct.GO_ON, "It stays off the rollers: write down what the bench found, then do the gate again."),
        (
            RollerAct.HAVE_TIME,
            "It gets no roller time until the bench has looked at it: give it time at the bench, and the rollers come "
            "after that.",
        ),
        (RollerAct.BE_PLANNED, "It is not planned on the rollers until the bench has looked at it."),
        (RollerAct.RUN_HARD, "No full throttle: write down what the bench found first."),
        (RollerAct.BE_RIDDEN, "Nobody rides it: write down what the bench found, then do the gate again."),
        (RollerAct.JET_DOWN, "No smaller main jet: it would run leaner and hotter. Find what is wrong first."),
        (RollerAct.THROUGH_THE_GATE, "It does not pass: write down what the bench found, then do the gate again."),
        (RollerAct.OVERRIDE, "Nobody overrides that: write down what the bench found, then do the gate again."),
    ],
)
def test_the_sentence_says_what_to_do_instead(act, instead):
    found = RollerFacts(41, states.BOOKED, must_not_run=("It pinks.", "It nipped up."))
    assert stop_for(act, found).sentence == f"Visit 41 must not run. It pinks. It nipped up. {instead}"
    marked = RollerFacts(41, states.BOOKED, route=routes.DO_NOT_RUN)
    if StopKind.MARKED in STOPS[act]:
        assert stop_for(act, marked).sentence == f"Visit 41 is marked do not run. {instead}"


def test_the_other_stops_say_what_is_missing():
    assert stop_for(RollerAct.GO_ON, STOPPED[StopKind.NOT_HERE]).sentence == (
        "Visit 41 is booked: take the machine in first."
    )
    assert stop_for(RollerAct.GO_ON, STOPPED[StopKind.NO_GATE]).sentence == (
        "Visit 41 has not passed the gate: nothing goes on the rollers without a passed gate or a named person's "
        "recorded override."
    )
    assert stop_for(RollerAct.OVERRIDE, STOPPED[StopKind.FOR_GOOD]).sentence == (
        "Nobody overrides this: It leaks. It has no brakes. Put it right, then do the gate again."
    )
