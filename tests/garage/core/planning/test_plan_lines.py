"""The edge of `plan`: what is accepted, what is refused and how the field is named."""

import copy
import json

import pytest

from garage.core.errors import BadInput
from garage.core.planning.day_problem import KINDS, DayProblem, Job, JobStep, Pin, Placed, Worker
from garage.core.planning.plan_lines import answer, day_from
from garage.core.time.day_minutes import hhmm
from tests.garage.core.plan_line_refusals import REFUSED, TEXT, TIME


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
        "proved": 5,
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


@pytest.mark.parametrize(("path", "value", "sentence"), REFUSED)
def test_unusable_input_is_refused_naming_its_field_what_was_found_and_what_is_allowed(path, value, sentence):
    with pytest.raises(BadInput) as refused:
        answer(changed(path, value))
    assert refused.value.sentence == f"{sentence}."
    assert len(refused.value.sentence) < 250


@pytest.mark.parametrize(
    ("step", "sentence"),
    [
        ({"began": "08:10", "by": "p1"}, "began is '08:10'; allowed is a time up to now, 08:00"),
        ({"began": "07:00", "by": 9}, "by is 9; allowed is any string"),
        (
            {"began": "07:30", "by": "p1", "ended": "07:29"},
            "ended is '07:29'; allowed is a time from 07:30 to now, 08:00",
        ),
        (
            {"began": "07:30", "by": "p1", "ended": "08:01"},
            "ended is '08:01'; allowed is a time from 07:30 to now, 08:00",
        ),
    ],
)
def test_what_has_begun_must_have_been_possible(step, sentence):
    line = a_line()
    line["jobs"][0]["steps"][0] |= step
    with pytest.raises(BadInput) as refused:
        answer(line)
    assert refused.value.sentence == f"jobs[0].steps[0].{sentence}."


@pytest.mark.parametrize("begun", [("07:30", "07:30"), ("07:30", "08:00"), ("08:00", None)])
def test_work_may_have_begun_and_ended_up_to_this_minute(begun):
    line = a_line()
    line["jobs"][0]["steps"][0] |= {"by": "p1", "began": begun[0], "ended": begun[1]}
    first, second = day_from(line).jobs[0].steps
    assert [None if minute is None else hhmm(minute) for minute in (first.began, first.ended)] == list(begun)
    assert (first.by, second.by) == ("p1", None)


def test_a_step_cannot_have_begun_before_its_predecessor_is_over():
    line = a_line()
    line["jobs"][0]["steps"][0] |= {"began": "07:10", "by": "p1"}
    line["jobs"][0]["steps"][1] |= {"began": "07:30", "by": "p1"}
    with pytest.raises(BadInput) as refused:
        answer(line)
    said = "jobs[0].steps[1].began is '07:30'; allowed is a step whose earlier steps have all ended."
    assert refused.value.sentence == said
    line["jobs"][0]["steps"][0]["ended"] = "07:20"
    assert day_from(line).jobs[0].steps[1].began == 450


@pytest.mark.parametrize("key", ["people", "jobs"])
def test_an_id_used_twice_is_refused(key):
    line = a_line()
    line[key].append(copy.deepcopy(line[key][0]))
    with pytest.raises(BadInput) as refused:
        answer(line)
    found = repr(line[key][0]["id"])
    assert refused.value.sentence == f"{key}[1].id is {found}; allowed is an id that is not used twice in the day."


def test_the_largest_and_the_smallest_that_is_allowed_is_taken():
    line = a_line() | {"rollers": 50, "benches": 50.0, "guard": 1440, "limit_s": 3600, "quiet": {"rollers": None}}
    line["people"][0] |= {
        "id": "p" * 20_000,
        "from": "08:00",
        "to": "08:00",
        "breaks": [["13:00", "13:00"]],
        "skills": ["bench", "roller"] * 10,
    }
    line["jobs"][0] |= {"worth": 10**12, "ready": 0, "id": "4"}
    line["jobs"][0]["steps"][0] |= {"minutes": 1440, "check": False, "pin": {"station": 50}}
    line["jobs"][0]["steps"][1] |= {"minutes": 1}
    day = day_from(line)
    assert (day.rollers, day.benches, day.guard, day.limit_s, day.quiet_rollers) == (50, 50, 1440, 3600, ())
    assert isinstance(day.benches, int)
    assert day.people[0] == Worker("p" * 20_000, 480, 480, ((780, 780),), frozenset(KINDS))
    gate, rollers = JobStep("bench", 1440, pin=Pin(station=50)), JobStep("roller", 1)
    assert day.jobs == (Job("4", 510, (gate, rollers), gone_by=1020, promised=540, worth=10**12, ready=0.0),)
    least = day_from(a_line() | {"rollers": 0, "benches": 0, "guard": 0, "limit_s": 0, "people": [], "jobs": []})
    assert (least.rollers, least.benches, least.guard, least.limit_s, least.people, least.jobs) == (0, 0, 0, 0, (), ())


def test_a_whole_line_becomes_the_day_it_says():
    line = a_line() | {"limit_s": 1.5}
    line["jobs"][0]["steps"][1] |= {"pin": {"station": 1, "by": "p1", "begin": "09:00"}}
    placed = {"job": "41", "step": 1, "at": "roller", "station": 1, "by": "p1", "begin": "09:00", "end": "10:30"}
    steps = (JobStep("bench", 10, check=True), JobStep("roller", 90, pin=Pin(1, "p1", 540)))
    assert day_from(line | {"standing": [placed]}) == DayProblem(
        day="2027-03-10",
        now=480,
        rollers=1,
        benches=2,
        people=(Worker("p1", 480, 1020, ((780, 810),), frozenset(KINDS)),),
        jobs=(Job("41", 510, steps, gone_by=1020, promised=540, worth=9000, ready=0.7),),
        guard=10,
        limit_s=1.5,
        quiet_rollers=((750, 810),),
        standing=(Placed("41", 1, "roller", 1, "p1", 540, 630),),
    )


IDS = ["", " ", "0", "null", "p1\n", "\u00fcber \U0001f527", "\ud800", "[0].id", "i" * 5000]


@pytest.mark.parametrize("name", IDS)
def test_an_id_is_any_string(name):
    line = a_line()
    line["people"][0]["id"] = line["jobs"][0]["id"] = name
    line["jobs"][0]["steps"][1]["pin"] = {"by": name}
    told = answer(line)
    assert [(one["job"], one["by"], one["begin"]) for one in told["placed"]] == [
        (name, name, "08:30"),
        (name, name, "09:00"),
    ]
    assert answer(line | {"standing": told["placed"]}) == told
    json.dumps(told, allow_nan=False).encode("ascii")


def test_two_people_of_whom_one_has_no_name_at_all_are_two_people():
    line = a_line()
    line["people"].append(line["people"][0] | {"id": ""})
    line["jobs"].append(copy.deepcopy(line["jobs"][0]) | {"id": ""})
    line["rollers"] = 2
    line["jobs"][0]["steps"][1]["pin"] = {"by": ""}
    told = answer(line)
    assert told["kept"] == 2
    assert {one["job"]: one["by"] for one in told["placed"] if one["at"] == "roller"} == {"41": "", "": "p1"}


def under_way(by: str, **changed: object) -> dict:
    """A day at nine: 41 went on the only rollers at half past eight; 42 waits for them."""
    line = a_line() | {"now": "09:00", "quiet": None} | changed
    line["jobs"][0]["steps"] = [
        {"at": "bench", "minutes": 10, "check": True, "began": "08:00", "by": "gone home", "ended": "08:10"},
        {"at": "roller", "minutes": 60, "began": "08:30", "by": by},
    ]
    line["jobs"].append({"id": "42", "here_from": "08:00", "worth": 1, "steps": [{"at": "roller", "minutes": 30}]})
    return line


def test_work_that_is_over_may_name_somebody_who_is_not_there_any_more():
    told = answer(under_way("p1"))
    assert [(one["job"], one["by"], one["begin"], one["end"]) for one in told["placed"]] == [
        ("41", "p1", "08:30", "09:30"),
        ("42", "p1", "09:30", "10:00"),
    ]
    assert told["notes"] == []


def test_running_work_whose_person_is_gone_keeps_its_station_and_is_pointed_out():
    told = answer(under_way("p9", benches=0))
    assert [(one["job"], one["by"], one["station"], one["begin"], one["end"]) for one in told["placed"]] == [
        ("41", "p9", 1, "08:30", "09:30"),
        ("42", "p1", 1, "09:30", "10:00"),
    ]
    assert told["notes"] == [
        "41 is under way at the rollers by p9, who is not here today: it keeps roller 1 until 09:30."
    ]


def test_running_work_of_somebody_who_is_gone_takes_nobody_elses_time():
    told = answer(under_way("p9", rollers=2))
    assert [(one["job"], one["by"], one["begin"]) for one in told["placed"]] == [
        ("41", "p9", "08:30"),
        ("42", "p1", "09:00"),
    ]


def test_a_step_fixed_to_somebody_who_is_gone_is_left_out_and_the_day_is_planned():
    line = under_way("p1")
    line["jobs"][1]["steps"][0]["pin"] = {"by": "p9"}
    assert answer(line)["left_out"] == [{"job": "42", "why": "It is fixed to p9, who is not here today."}]


def test_a_break_outside_hours_and_a_promise_before_opening_are_planned_round():
    line = a_line()
    line["people"][0]["breaks"] = [["00:00", "08:30"], ["06:00", "07:00"], ["17:00", "24:00"]]
    line["jobs"][0] |= {"promised": "06:00", "here_from": "00:00"}
    told = answer(line)
    assert [one["begin"] for one in told["placed"]] == ["08:30", "08:40"]
    assert told["broken"] == [{"job": "41", "why": "Promised for 06:00: it is already 08:00."}]


def test_more_jobs_than_any_day_has_are_one_clear_error():
    job = a_line()["jobs"][0]
    with pytest.raises(BadInput) as refused:
        answer(a_line() | {"jobs": [job | {"id": str(n)} for n in range(500)]})
    assert refused.value.sentence == "jobs is 'a list of 500'; allowed is a list of at most 200."


PLACED = {"job": "41", "step": 1, "at": "roller", "station": 1, "by": "p1", "begin": "09:00", "end": "10:30"}


@pytest.mark.parametrize(
    ("key", "value", "allowed"),
    [
        ("job", 41, TEXT),
        ("step", -1, "a whole number from 0 to 50"),
        ("step", 51, "a whole number from 0 to 50"),
        ("at", "pit", '"bench" or "roller"'),
        ("station", 0, "a whole number from 1 to 50"),
        ("station", 51, "a whole number from 1 to 50"),
        ("by", None, TEXT),
        ("begin", "9", TIME),
        ("end", "10", TIME),
    ],
)
def test_each_part_of_the_current_plan_is_read_within_its_limits(key, value, allowed):
    with pytest.raises(BadInput) as refused:
        day_from(a_line() | {"standing": [PLACED | {key: value}]})
    assert (refused.value.where, refused.value.found, refused.value.allowed) == (f"standing[0].{key}", value, allowed)


def test_a_pin_on_a_day_without_such_a_station_is_taken_for_the_plan_to_explain():
    line = a_line() | {"rollers": 0}
    line["jobs"][0]["steps"][1] |= {"pin": {"station": 1}}
    why = answer(line)["left_out"]
    assert why == [{"job": "41", "why": "There are no rollers today."}]


def test_the_answer_carries_its_sentences_and_ends_no_work_after_midnight():
    line = a_line() | {"now": "23:50"}
    line["jobs"][0]["steps"] = [{"at": "roller", "minutes": 90, "began": "23:30", "by": "p1"}]
    told = answer(line)
    assert [(one["begin"], one["end"]) for one in told["placed"]] == [("23:30", "24:00")]
    late = "Promised for 09:00: it went on the rollers at 23:30."
    assert (told["day"], told["broken"]) == ("2027-03-10", [{"job": "41", "why": late}])
    assert told["notes"] == ["41 runs until 25:00 but should be done by 17:00."]


@pytest.mark.parametrize("raw", [None, [], "a day", 3])
def test_a_line_that_is_not_an_object_is_refused(raw):
    with pytest.raises(BadInput) as refused:
        answer(raw)
    assert (refused.value.where, refused.value.allowed) == ("the line", "an object with named keys")
