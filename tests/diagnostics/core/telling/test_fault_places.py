"""The table of places against the bank and the drawing, and when nothing is marked."""

import itertools
import math
from dataclasses import replace

import pytest

from diagnostics.core.guides.drawn.engine import HEIGHT, PLACES, engine
from diagnostics.core.guides.pen import WIDTH
from diagnostics.core.telling.fault_places import MOST_MARKED, PLACES_OF, marked_places
from diagnostics.reads.bank import the_bank
from garage.core import routes
from tests.diagnostics.core.telling.judged import judged as judged_of


def test_each_fault_of_the_bank_has_its_places_and_no_other_has():
    assert set(PLACES_OF) == set(the_bank().fault_ids)
    assert all(PLACES_OF.values())


def test_each_place_is_drawn_and_each_drawn_place_belongs_to_a_fault():
    assert {place for places in PLACES_OF.values() for place in places} == set(PLACES)


@pytest.mark.parametrize("place", PLACES)
def test_a_ring_lies_in_the_drawing_with_its_number_beside_it(place):
    x, y = PLACES[place].at
    r = PLACES[place].r
    assert r <= x <= WIDTH - r
    assert r <= y <= HEIGHT - r
    [number] = engine([place]).labels
    left, top, right, bottom = number.box
    middle = ((left + right) / 2, (top + bottom) / 2)
    assert math.dist(middle, (x, y)) > r + 2


def test_no_number_lies_on_another():
    numbers = {place: engine([place]).labels[0].box for place in PLACES}
    for one, other in itertools.combinations(numbers, 2):
        a, b = numbers[one], numbers[other]
        assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1], (one, other)


def test_the_drawing_says_in_words_what_it_marks():
    assert "1 plug, cap and lead, 2 ignition coil." in engine(["plug", "coil"]).svg()


def _judged(route, **chances):
    given = {fault.id: 0.0 for fault in the_bank().faults} | {name.replace("_", "-"): c for name, c in chances.items()}
    groups = dict.fromkeys(("ignition", "fuel-air", "mechanical"), 0.1) | {"ignition": 0.8}
    return replace(judged_of(), route=route, chances=given, groups=groups)


def test_the_likeliest_comes_first_and_what_is_less_than_half_as_likely_is_left_out():
    judged = _judged(routes.FIX_FIRST, spark_module=0.3, ht_side=0.5, earth_or_wiring=0.1, air_leak=0.9)
    assert marked_places(the_bank(), judged, route=routes.FIX_FIRST) == ("plug", "coil", "cdi")


def test_three_places_are_marked_at_most():
    judged = _judged(routes.FIX_FIRST, **dict.fromkeys(("ht_side", "earth_or_wiring", "spark_module"), 0.3))
    assert len(marked_places(the_bank(), judged, route=routes.FIX_FIRST)) == MOST_MARKED


@pytest.mark.parametrize("route", [routes.ROLLER_READY, routes.PHONE_FIRST, routes.DO_NOT_RUN])
def test_nothing_is_marked_where_the_judgement_sends_it_elsewhere(route):
    assert marked_places(the_bank(), _judged(route, ht_side=0.9), route=route) == ()


def test_nothing_is_marked_where_a_person_chose_the_bench_against_the_judgement():
    judged = _judged(routes.PHONE_FIRST, ht_side=0.9)
    assert marked_places(the_bank(), judged, route=routes.FIX_FIRST) == ()
