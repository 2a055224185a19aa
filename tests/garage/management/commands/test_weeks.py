"""`manage.py weeks`: a table of plain text, and options that are refused in a sentence."""

from __future__ import annotations

import io

import pytest
from django.core.management import CommandError, call_command

from garage.core.planning.weeks.practices import Practice


def said(*options: str) -> str:
    out = io.StringIO()
    call_command("weeks", *options, stdout=out)
    return out.getvalue()


@pytest.mark.long
def test_the_table_has_a_row_for_each_practice_on_both_kinds_of_days():
    text = said("--weeks", "2", "--seed", "3", "--guard", "0", "--room", "10")
    lines = text.splitlines()
    assert lines[0] == "2 weeks, seed 3, guard 0 min, room 10 %."
    for practice in Practice:
        assert sum(line.startswith(f"{practice.value}  ") for line in lines) == 2
    assert sum(line.startswith("this planner beside ") for line in lines) == 6
    assert max(map(len, lines)) <= 120


@pytest.mark.parametrize("option", ["--weeks 1", "--weeks x", "--seed -1", "--guard 121", "--room 101"])
def test_a_number_that_cannot_be_used_is_refused_with_what_is_allowed(option):
    with pytest.raises(CommandError, match="a whole number from"):
        said(*option.split())
