"""Whatever stands in a line of `plan`, it is answered by one sentence or by a plan that holds every rule."""

from __future__ import annotations

import copy
import json
import math
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garage.core.errors import BadInput
from garage.core.planning.plan_lines import answer, day_from
from garage.core.planning.planner import plan
from tests.garage.core.check_plan import faults

PLAIN = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-5, 2000),
    st.integers(),
    st.floats(),
    st.text(max_size=8),
    st.sampled_from(["08:00", "09:30", "24:00", "23:59", "roller", "bench", "p1", "41", "2027-03-10", math.inf, 1.0]),
)
ANY = st.recursive(
    PLAIN,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=4),
    max_leaves=12,
)


def a_busy_line() -> dict:
    """Every key of the manual, in the middle of a day."""
    over = {"at": "bench", "minutes": 10, "check": True, "began": "08:30", "by": "p1", "ended": "08:45"}
    runs = {"at": "roller", "minutes": 60, "began": "09:00", "by": "p1", "pin": {"station": 1}}
    return {
        "day": "2027-03-10",
        "now": "09:30",
        "rollers": 1,
        "benches": 2,
        "guard": 10,
        "limit_s": 0.2,
        "people": [
            {"id": "p1", "from": "08:00", "to": "17:00", "breaks": [["13:00", "13:30"]], "skills": ["bench", "roller"]},
            {"id": "p2", "from": "08:00", "to": "12:00", "skills": ["bench"]},
        ],
        "quiet": {"rollers": [["12:30", "13:30"]]},
        "standing": [
            {"job": "42", "step": 0, "at": "bench", "station": 2, "by": "p2", "begin": "10:00", "end": "10:10"},
        ],
        "jobs": [
            {"id": "41", "here_from": "08:20", "promised": "09:00", "worth": 9000, "steps": [over, runs]},
            {
                "id": "42",
                "here_from": "09:00",
                "gone_by": "17:00",
                "promised": "11:00",
                "worth": 9000,
                "ready": 0.7,
                "steps": [{"at": "bench", "minutes": 10, "check": True}, {"at": "roller", "minutes": 60}],
            },
            {
                "id": "43",
                "here_from": "08:00",
                "worth": 100,
                "steps": [{"at": "bench", "minutes": 45, "pin": {"by": "p1", "begin": "14:00"}}],
            },
        ],
    }


def places(value: object, path: tuple = ()) -> Iterator[tuple]:
    """Every path into the line, the line itself left out."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, one in inner:
        yield (*path, key)
        yield from places(one, (*path, key))


PLACES = sorted(places(a_busy_line()), key=repr)


def inside(line: dict, path: tuple):
    for key in path:
        line = line[key]
    return line


@st.composite
def spoilt_lines(draw: st.DrawFn) -> dict:
    """The busy line with one to three places changed to anything, left out or said twice."""
    line = a_busy_line()
    for path in draw(st.lists(st.sampled_from(PLACES), min_size=1, max_size=3)):
        try:
            around = inside(line, path[:-1])
            if draw(st.booleans()):
                around[path[-1]] = draw(ANY)
            elif isinstance(around, list):
                around.append(copy.deepcopy(around[path[-1]]))
            else:
                del around[path[-1]]
        except (KeyError, IndexError, TypeError):
            continue  # an earlier change has taken this place away
    if "limit_s" in line:
        line["limit_s"] = 0.2
    return line


def told(line: object) -> dict | None:
    """The answer, or None where it is a sentence. Anything else fails the test."""
    try:
        return answer(line)
    except BadInput as refused:
        said = refused.sentence
        assert said.endswith(".")
        assert "; allowed is " in said
        assert len(said) < 400
        return None


@settings(max_examples=150, deadline=None)
@given(ANY)
def test_anything_at_all_is_answered(value):
    told(value)


@pytest.mark.long
@settings(max_examples=250, deadline=None)
@given(spoilt_lines())
def test_a_spoilt_line_gets_a_sentence_or_a_plan_that_holds_every_rule(line):
    answered = told(line)
    if answered is not None:
        json.dumps(answered, allow_nan=False)
        day = day_from(line)
        assert faults(day, plan(day)) == []


def test_the_busy_line_itself_is_planned():
    day = day_from(a_busy_line())
    made = plan(day)
    assert faults(day, made) == []
    assert (made.kept, made.left_out) == (2, ())


def changed(path: tuple, value: object) -> dict:
    line = a_busy_line()
    inside(line, path[:-1])[path[-1]] = value
    return line


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        (("jobs", 1, "steps", 1, "minutes"), -60, "jobs[1].steps[1].minutes is -60; allowed is a whole number from 1"),
        (("jobs", 1, "id"), "41", "jobs[1].id is '41'; allowed is an id that is not used twice in the day."),
        (("people", 1, "id"), "p1", "people[1].id is 'p1'; allowed is an id that is not used twice in the day."),
        (("jobs",), a_busy_line()["jobs"] * 167, "jobs is 'a list of 501'; allowed is a list of at most 200."),
    ],
    ids=["negative minutes", "two jobs with one id", "two people with one id", "500 jobs"],
)
def test_what_cannot_be_planned_is_one_sentence(path, value, said):
    with pytest.raises(BadInput) as refused:
        answer(changed(path, value))
    assert said in refused.value.sentence


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("people", 0, "breaks"), [["05:00", "07:30"], ["18:00", "19:00"]]),
        (("jobs", 1, "promised"), "05:00"),
        (("jobs", 1, "promised"), "24:00"),
        (("jobs", 1, "gone_by"), "08:00"),
        (("people", 0, "to"), "08:00"),
    ],
    ids=["a break outside hours", "promised before opening", "promised at midnight", "gone before it came", "no hours"],
)
def test_a_strange_day_is_planned_as_far_as_it_goes(path, value):
    line = changed(path, value)
    day = day_from(line)
    made = plan(day)
    assert faults(day, made) == []
    assert {one.job for one in (*made.left_out, *made.placed)} >= {"42", "43"}


def test_a_short_limit_leaves_a_day_of_hundreds_of_jobs_with_the_simple_plan():
    """Nothing is proved, every rule holds, and it is the same plan each time."""
    steps = [{"at": "bench", "minutes": 5, "check": True}, {"at": "roller", "minutes": 5}]
    jobs = [
        {"id": f"{n}", "here_from": "09:30", "promised": f"{10 + n // 60}:{n % 60:02d}", "worth": 100, "steps": steps}
        for n in range(200)
    ]
    line = a_busy_line() | {"jobs": jobs, "standing": None, "limit_s": 0.1}
    day = day_from(line)
    made = plan(day)
    assert faults(day, made) == []
    assert (made.proved, plan(day)) == (0, made)
