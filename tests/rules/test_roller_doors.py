"""No way on to the rollers but past the question: doors are found by reading the code, so a new one can't be forgotten.

tests/rules/roller_doors.py walks the doors that are known; DEVELOPERS.md shows them as a table.
"""

import ast
import re

import pytest

from garage.core.roller_rule import StopKind
from tests.rules.reached import graph, parts, reached, views
from tests.rules.roller_doors import DOORS
from tests.rules.tree import ROOT

RULE = {"garage.core.roller_rule.check", "garage.core.roller_rule.stop_for"}
NOT_ASKED = {
    "garage.changes.day.selling.hold_time": "a browser's time held open: which machine will come is not known yet",
    "garage.changes.day.planned_steps.need_the_rollers": "a wish: a step without a time, and the plan asks",
}
SET = {
    "gate_passed_at",
    "gate_at_bench_passed_at",
    "began_at",
    "strapped_from",
    "pin_station",
    "pin_by",
    "pin_begins_at",
}


@pytest.fixture(scope="module")
def known():
    return parts()


@pytest.fixture(scope="module")
def named(known):
    return graph(known)


def opens_the_rollers(node: ast.AST) -> bool:
    """Whether this function can itself put a machine on the rollers, sell a time, begin or pin a step, pass a gate,
    have it ridden, or say that a jet is in.
    """
    compared = {id(one) for test in ast.walk(node) if isinstance(test, ast.Compare) for one in ast.walk(test)}
    for one in ast.walk(node):
        if isinstance(one, ast.Attribute) and one.attr in {"ON_THE_ROLLERS", "RIDE"} and id(one) not in compared:
            return True
        if isinstance(one, ast.Assign) and any(attribute in SET for attribute in _set_by(one)):
            return True
        if isinstance(one, ast.Call) and (_writes_a_place(one) or _says_a_jet_is_in(one)):
            return True
    return False


def _set_by(assign: ast.Assign) -> list[str]:
    """The attributes that are given something other than nothing."""
    target, value = assign.targets[0], assign.value
    pairs = [(target, value)]
    if isinstance(target, ast.Tuple):
        values = value.elts if isinstance(value, ast.Tuple) else [value] * len(target.elts)
        pairs = list(zip(target.elts, values, strict=True))
    return [
        one.attr
        for one, given in pairs
        if isinstance(one, ast.Attribute) and not (isinstance(given, ast.Constant) and given.value is None)
    ]


def _writes_a_place(call: ast.Call) -> bool:
    """A piece of a day is sold, or a step at the rollers is made."""
    text = ast.unparse(call.func)
    if text in {"SoldPiece.objects.create", "SoldPiece.objects.bulk_create"}:
        return True
    is_step = text in {"_insert", "Step", "Step.objects.create", "Step.objects.bulk_create"}
    return is_step and any(word.arg == "at" and ast.unparse(word.value) == "ROLLER" for word in call.keywords)


def _says_a_jet_is_in(call: ast.Call) -> bool:
    """A line of the card about a jet, or a run with what was fitted."""
    text = ast.unparse(call.func)
    is_line = text in {"_line", "CardLine.objects.create"}
    return text == "Run.objects.create" or (
        is_line and any(word.arg == "what" and ast.unparse(word.value) == "CardLine.JET" for word in call.keywords)
    )


@pytest.fixture(scope="module")
def openers(known):
    return {name for name, node in known.items() if ".changes." in name and opens_the_rollers(node)}


@pytest.fixture(scope="module")
def asking(known, named):
    """Functions that ask the rule, themselves or by a helper in their own file. To ask whether it may be run hard is
    not enough.
    """
    asks = {name for name, node in known.items() if named[name] & RULE and _acts(node) != {"RUN_HARD"}}
    while True:
        more = {name for name in known if {n for n in named[name] & asks if _module(n) == _module(name)}} - asks
        if not more:
            return asks
        asks |= more


def _acts(node: ast.AST) -> set[str]:
    return set(re.findall(r"RollerAct\.(\w+)", ast.unparse(node)))


def _module(name: str) -> str:
    return name.rpartition(".")[0]


def test_what_opens_the_rollers_is_found(openers):
    assert openers >= {
        "garage.changes.visit.floor.say_on_the_rollers",
        "garage.changes.day.steps.begin",
        "garage.changes.day.steps.was_done",
        "garage.changes.day.steps.pin",
        "garage.changes.day.selling._take",
        "garage.changes.day.planned_steps.need_the_rollers",
        "garage.changes.day.steps.put_on_the_rollers",
        "garage.changes.visit.gate_results.passed",
        "garage.changes.visit.gate_results.passed_at_the_bench",
        "jobs.changes.cards.test_ride",
        "jobs.changes.cards.change_of_jet",
        "jobs.changes.runs.take",
    }


def test_no_address_comes_to_the_rollers_without_the_question(known, named, openers, asking):
    open_ways = {
        f"{address}: {opener}"
        for address, view in views()
        for opener in reached(view, named, not_through=asking | NOT_ASKED.keys()) & openers
    }
    assert open_ways == set()


@pytest.mark.parametrize(
    ("forgetful", "address"),
    [
        ("garage.changes.visit.floor.say_on_the_rollers", "visit-state"),
        ("garage.changes.day.steps.begin", "step-begin"),
        ("garage.changes.day.steps.pin", "step-pin"),
        ("garage.changes.day.selling.sell", "visit-time"),
        ("garage.changes.day.selling.sell", "visit-move"),
        ("garage.changes.day.steps.put_on_the_rollers", "gate-on"),
        ("garage.changes.visit.gate_results.passed_at_the_bench", "gate-bench-end"),
        ("garage.changes.visit.gate_results.passed", "gate-end"),
        ("garage.changes.visit.gate_results.overridden", "gate-override"),
        ("jobs.changes.cards.test_ride", "card-write"),
        ("jobs.changes.cards.change_of_jet", "card-write"),
        ("jobs.changes.runs.take", "run-file"),
    ],
)
def test_a_change_that_forgot_the_question_would_be_found(named, openers, asking, forgetful, address):
    remembering = {name for name in asking if _module(name) != _module(forgetful)}
    assert reached(dict(views())[address], named, not_through=remembering | NOT_ASKED.keys()) & openers


def test_no_command_task_or_event_comes_to_the_rollers_without_the_question(known, named, openers, asking):
    starts = {name for name in known if {"management", "tasks", "receivers"} & set(name.split("."))}
    told = {name for name in known if ".demo." in name}  # the demo tells a past of its own and goes through the changes
    open_ways = {
        f"{start}: {opener}"
        for start in starts
        for opener in reached(start, named, not_through=asking | NOT_ASKED.keys() | told) & openers
    }
    assert open_ways == set()


def test_what_is_not_asked_is_still_there(known):
    assert NOT_ASKED.keys() <= known.keys()


def test_every_address_that_comes_to_the_rollers_is_in_the_table(known, named, openers):
    come = {address for address, view in views() if reached(view, named, not_through=NOT_ASKED) & openers}
    assert come - {door.address for door in DOORS} == set()


def test_every_door_of_the_table_is_there(known):
    addresses = {address for address, _ in views()}
    assert [door.words for door in DOORS if door.address and door.address not in addresses] == []
    assert [door.change for door in DOORS if door.change not in known] == []


def test_the_table_in_the_developers_file_says_the_same():
    shown = [line for line in (ROOT / "DEVELOPERS.md").read_text().splitlines() if line.startswith("| ")]
    cells = [tuple(cell.strip() for cell in re.split(r"(?<!\\)\|", line)[1:-1]) for line in shown]
    expected = [
        (
            door.words,
            f"`{door.change.partition('.')[2]}`",
            *("stops" if kind in door.stops else "–" for kind in StopKind),
        )
        for door in DOORS
    ]
    assert [row for row in expected if row not in cells] == []
    head = ("door", "what asks", *(kind.value for kind in StopKind))
    assert head in cells
    assert [row for row in cells if len(row) == len(head) and row != head and set(row[0]) != {"-"}] == expected
