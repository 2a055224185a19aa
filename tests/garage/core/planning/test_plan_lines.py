"""The edge of `plan`: what is accepted, what is refused and how the field is named."""

import copy
import json
import math

import pytest

from garage.core.errors import BadInput
from garage.core.planning.plan_lines import answer, day_from


def a_line() -> dict:
    return {
        "day": "2027-03-10",
        "now": "08:00",
        "rollers": 1,
        "benches": 2,
        "guard": 10,
        "people": [
            {"id": "p1", "from": "08:00", "to": "17:00", "breaks": [["13:00", "13:30"]], "skills": ["bench", "roller"]}
        ],
        "quiet": {"rollers": [["12:30", "13:30"]]},
        "jobs": [
            {
                "id": "41",
                "here_from": "08:30",
                "gone_by": "17:00",
                "promised": "09:00",
                "worth": 9000,
                "ready": 0.7,
                "steps": [{"at": "bench", "minutes": 10, "check": True}, {"at": "roller", "minutes": 90}],
            }
        ],
    }


def changed(path: list, value: object) -> dict:
    line = copy.deepcopy(a_line())
    place = line
    for key in path[:-1]:
        place = place[key]
    place[path[-1]] = value
    return line


def test_a_whole_line_is_answered_with_the_keys_of_the_manual():
    told = answer(a_line())
    assert told["placed"] == [
        {"job": "41", "step": 0, "at": "bench", "station": 1, "by": "p1", "begin": "08:30", "end": "08:40"},
        {"job": "41", "step": 1, "at": "roller", "station": 1, "by": "p1", "begin": "09:00", "end": "10:30"},
    ]
    assert {
        key: told[key] for key in ("kept", "guarded", "worth", "roller_minutes", "proved", "left_out", "broken")
    } == {
        "kept": 1,
        "guarded": 1,
        "worth": 9000,
        "roller_minutes": 90,
        "proved": 0,
        "left_out": [],
        "broken": [],
    }
    assert set(told) == {
        "day",
        "placed",
        "notes",
        "kept",
        "guarded",
        "worth",
        "roller_minutes",
        "proved",
        "left_out",
        "broken",
    }
    json.dumps(told, allow_nan=False)


def test_optional_keys_may_be_missing_or_null_and_unknown_ones_are_ignored():
    line = a_line() | {"guard": None, "limit_s": None, "quiet": None, "standing": None, "colour": {"deep": [1]}}
    line["jobs"][0] |= {"gone_by": None, "promised": None, "ready": None}
    line["jobs"][0]["steps"][0] |= {"began": None, "ended": None, "pin": None, "check": None}
    del line["people"][0]["breaks"]
    day = day_from(line)
    assert (day.guard, day.limit_s, day.jobs[0].ready, day.jobs[0].promised) == (0, 2.0, 1.0, None)


def test_an_answer_may_come_back_as_the_current_plan():
    line = a_line()
    again = answer(line | {"standing": answer(line)["placed"]})
    assert again["placed"] == answer(line)["placed"]


STEP = ["jobs", 0, "steps", 0]


@pytest.mark.parametrize(
    ("path", "value", "where"),
    [
        (["day"], "10 March", "day"),
        (["day"], "2027-02-30", "day"),
        (["now"], "8:00", "now"),
        (["now"], "24:01", "now"),
        (["now"], None, "now"),
        (["now"], 480, "now"),
        (["rollers"], -1, "rollers"),
        (["rollers"], True, "rollers"),
        (["rollers"], 1.5, "rollers"),
        (["benches"], 10**400, "benches"),
        (["benches"], math.inf, "benches"),
        (["guard"], "10", "guard"),
        (["limit_s"], math.nan, "limit_s"),
        (["people"], {}, "people"),
        (["people", 0], "p1", "people[0]"),
        (["people", 0, "id"], "", "people[0].id"),
        (["people", 0, "to"], "07:00", "people[0].to"),
        (["people", 0, "breaks"], [["13:00"]], "people[0].breaks[0]"),
        (["people", 0, "breaks"], [["13:30", "13:00"]], "people[0].breaks[0][1]"),
        (["people", 0, "skills"], ["welding"], "people[0].skills[0]"),
        (["people", 0, "skills"], None, "people[0].skills"),
        (["quiet"], [], "quiet"),
        (["quiet", "rollers"], "noon", "quiet.rollers"),
        (["standing"], [{"job": "41"}], "standing[0].step"),
        (["jobs"], None, "jobs"),
        (["jobs", 0, "id"], 41, "jobs[0].id"),
        (["jobs", 0, "here_from"], "later", "jobs[0].here_from"),
        (["jobs", 0, "worth"], -5, "jobs[0].worth"),
        (["jobs", 0, "worth"], None, "jobs[0].worth"),
        (["jobs", 0, "ready"], 1.5, "jobs[0].ready"),
        (["jobs", 0, "steps"], [], "jobs[0].steps"),
        ([*STEP, "at"], "pit", "jobs[0].steps[0].at"),
        ([*STEP, "at"], ["bench"], "jobs[0].steps[0].at"),
        ([*STEP, "minutes"], 0, "jobs[0].steps[0].minutes"),
        ([*STEP, "check"], "yes", "jobs[0].steps[0].check"),
        ([*STEP, "ended"], "07:50", "jobs[0].steps[0].began"),
        ([*STEP, "began"], "07:50", "jobs[0].steps[0].by"),
        ([*STEP, "pin"], "p1", "jobs[0].steps[0].pin"),
        ([*STEP, "pin"], {"station": 3}, "jobs[0].steps[0].pin.station"),
        ([*STEP, "pin"], {"by": "p9"}, "jobs[0].steps[0].pin.by"),
        ([*STEP, "pin"], {"begin": "25:00"}, "jobs[0].steps[0].pin.begin"),
    ],
)
def test_unusable_input_is_refused_with_the_path_of_its_field(path, value, where):
    with pytest.raises(BadInput) as refused:
        answer(changed(path, value))
    assert refused.value.where == where
    assert refused.value.sentence.startswith(where)
    assert "; allowed is " in refused.value.sentence
    assert len(refused.value.sentence) < 250


@pytest.mark.parametrize(
    ("step", "where"),
    [
        ({"began": "08:10", "by": "p1"}, "began"),
        ({"began": "07:00", "by": "p9"}, "by"),
        ({"began": "07:30", "by": "p1", "ended": "07:00"}, "ended"),
        ({"began": "07:30", "by": "p1", "ended": "08:05"}, "ended"),
    ],
)
def test_what_has_begun_must_have_been_possible(step, where):
    line = a_line()
    line["jobs"][0]["steps"][0] |= step
    with pytest.raises(BadInput) as refused:
        answer(line)
    assert refused.value.where == f"jobs[0].steps[0].{where}"


def test_a_step_cannot_have_begun_before_its_predecessor_is_over():
    line = a_line()
    line["jobs"][0]["steps"][1] |= {"began": "07:30", "by": "p1"}
    with pytest.raises(BadInput, match=r"jobs\[0\]\.steps\[1\]\.began"):
        answer(line)


@pytest.mark.parametrize("key", ["people", "jobs"])
def test_an_id_used_twice_is_refused(key):
    line = a_line()
    line[key].append(copy.deepcopy(line[key][0]))
    with pytest.raises(BadInput) as refused:
        answer(line)
    assert refused.value.where == f"{key}[1].id"


@pytest.mark.parametrize("raw", [None, [], "a day", 3])
def test_a_line_that_is_not_an_object_is_refused(raw):
    with pytest.raises(BadInput, match="the line"):
        answer(raw)
