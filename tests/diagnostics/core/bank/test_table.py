"""One table of the bank file: each reader takes what it is for and refuses the rest with the full path."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from diagnostics.core.bank.table import Table, known
from garage.core.errors import BadInput

Read = Callable[[Table], Any]
SOURCED = {"source": "made for a test"}
A_TEXT, TEXTS, YES_NO = "a text that is not empty", "a list of texts", "true or false"
RANGE = "a number from 0.5 to 10"


def refused(read: Read, values: dict[str, Any], path: str = "outer") -> tuple[str, object, str]:
    with pytest.raises(BadInput) as found:
        read(Table(values, path))
    return found.value.where, found.value.found, found.value.allowed


@pytest.mark.parametrize(
    ("read", "value", "allowed"),
    [
        (lambda table: table.text("key"), None, A_TEXT),
        (lambda table: table.text("key"), 3, A_TEXT),
        (lambda table: table.text("key"), " ", A_TEXT),
        (lambda table: table.text("key", "x"), 3, A_TEXT),
        (lambda table: table.texts("key"), "one", TEXTS),
        (lambda table: table.texts("key"), ["one", 3], TEXTS),
        (lambda table: table.texts("key"), ["one", " "], TEXTS),
        (lambda table: table.yes("key"), 1, YES_NO),
        (lambda table: table.yes("key"), "yes", YES_NO),
        (lambda table: table.number("key", 0.5, 10), None, RANGE),
        (lambda table: table.number("key", 0.5, 10), True, RANGE),
        (lambda table: table.number("key", 0.5, 10), "3", RANGE),
        (lambda table: table.number("key", 0.5, 10), float("inf"), RANGE),
        (lambda table: table.number("key", 0.5, 10), 0.49, RANGE),
        (lambda table: table.number("key", 0.5, 10), 10.01, RANGE),
        (lambda table: table.table("key"), None, "a table"),
        (lambda table: table.table("key"), 3, "a table"),
        (lambda table: table.listed("key"), 3, "tables, each under [[key]]"),
        (lambda table: table.listed("key"), [{}, 3], "tables, each under [[key]]"),
    ],
)
def test_what_does_not_fit_is_refused_with_its_path_and_what_would(read: Read, value: Any, allowed: str) -> None:
    values = SOURCED | ({} if value is None else {"key": value})
    assert refused(read, values) == ("outer.key", value, allowed)
    assert refused(read, values, path="")[0] == "key"


def test_a_number_needs_a_source_in_its_own_table_or_in_one_around_it() -> None:
    allowed = 'the source of its numbers, or "common practice, no source"'
    assert refused(lambda table: table.number("key", 0, 9), {"key": 3}) == ("outer.source", None, allowed)
    around = Table({"inner": {"key": 3}, **SOURCED})
    assert (around.table("inner").number("key", 0, 9), around.table("inner").source) == (3.0, "made for a test")
    assert Table({"inner": {"key": 3, "source": "its own"}, **SOURCED}).table("inner").source == "its own"
    assert Table({"key": 3}, "outer", "of the outer").number("key", 0, 9) == 3.0
    assert refused(lambda table: table, {"source": ""}) == ("outer.source", "", A_TEXT)


def test_each_value_is_taken_as_it_stands_up_to_its_limits() -> None:
    table = Table(
        {"text": " a ", "texts": ["a", "b"], "yes": True, "no": False, "low": 1, "high": 3, **SOURCED}, "outer"
    )
    assert (table.text("text"), table.texts("texts")) == (" a ", ("a", "b"))
    assert (table.yes("yes"), table.yes("no")) == (True, False)
    found = [table.number("low", 1, 3), table.number("high", 1, 3)]
    assert (found, [type(one) for one in found]) == ([1.0, 3.0], [float, float])


def test_what_is_missing_has_its_default() -> None:
    table = Table(dict(SOURCED))
    assert (table.text("a", "usual"), table.text("b", ""), table.texts("c"), table.yes("d")) == ("usual", "", (), False)
    assert table.number("e", 0, 9, default=4) == 4.0
    assert (table.numbers("f", 0, 9), table.tables("g"), table.listed("h")) == ({}, {}, [])


def test_a_text_with_a_default_may_be_empty() -> None:
    assert Table({"key": ""}).text("key", "usual") == ""


def test_tables_and_numbers_inside_have_their_names_their_path_and_the_source_around_them() -> None:
    values = {"out": {"a": {"x": 1}, "b": {"x": 2}, **SOURCED}, "many": {"m": 1, "n": 9}, **SOURCED}
    whole = Table(values, "top")
    inner = whole.tables("out")
    assert {name: table.number("x", 0, 9) for name, table in inner.items()} == {"a": 1.0, "b": 2.0}
    assert [table.path for table in inner.values()] == ["top.out.a", "top.out.b"]
    assert whole.numbers("many", 1, 9) == {"m": 1.0, "n": 9.0}
    assert refused(lambda table: table.numbers("many", 1, 8), values)[0] == "outer.many.n"
    assert refused(lambda table: table.numbers("many", 2, 9), values)[0] == "outer.many.m"
    assert refused(lambda table: table.tables("many"), values)[0] == "outer.many.m"


def test_listed_tables_are_numbered_and_have_the_source_around_them() -> None:
    first, second = Table({"pair": [{"x": 1}, {"x": 2}], **SOURCED}, "top").listed("pair")
    assert (first.path, second.path, second.number("x", 0, 9)) == ("top.pair[0]", "top.pair[1]", 2.0)


def test_a_key_that_nobody_read_is_refused_when_the_table_is_closed() -> None:
    def read(table: Table) -> None:
        table.text("a")
        table.close()

    assert refused(read, {"a": "x", "b": 3, **SOURCED}) == (
        "outer.b",
        "not known",
        "a key that the bank's reader knows",
    )
    read(Table({"a": "x", **SOURCED}))


def test_a_table_knows_its_keys_and_goes_through_all_but_the_source() -> None:
    table = Table({"a": 1, "b": 2, **SOURCED})
    assert list(table) == ["a", "b"]
    assert ("a" in table, "c" in table) == (True, False)


def test_a_name_that_is_not_known_is_refused_with_those_that_are_in_order() -> None:
    assert known("top.a", "x", ("y", "x")) == "x"
    with pytest.raises(BadInput) as found:
        known("top.a", "z", ("y", "x"))
    assert (found.value.where, found.value.found, found.value.allowed) == ("top.a", "z", "one of x, y")
