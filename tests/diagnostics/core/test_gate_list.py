"""The list: common practice, no source."""

import pytest

from diagnostics.core.gate_list import (
    AT_BENCH,
    BENCH_LINES,
    LINES,
    PARTS,
    STRAPPED_LINES,
    is_let_through,
    line_called,
    lines_of,
)


def test_leaks_come_first_of_all_and_the_engine_runs_last():
    assert BENCH_LINES[0].id == "leaks"
    running = [line.runs_engine for line in BENCH_LINES]
    assert running == sorted(running)
    assert [line.id for line in BENCH_LINES if line.runs_engine] == ["kill-switch", "strobe", "rev-out"]
    assert not any(line.runs_engine for line in STRAPPED_LINES)


def test_what_needs_the_rollers_is_asked_on_the_rollers():
    on_the_rollers = {"strapping", "guards", "extraction", "co-alarm", "extinguisher", "emergency-stop"}
    assert on_the_rollers <= {line.id for line in STRAPPED_LINES}
    assert all(line.part == part for part in PARTS for line in lines_of(part))
    assert lines_of(AT_BENCH) == BENCH_LINES


def test_every_line_has_a_name_of_its_own():
    assert len({line.id for line in LINES}) == len({line.short for line in LINES}) == len(LINES)
    assert (line_called("co-alarm").short, line_called("kill-switch").short) == ("CO alarm", "kill switch")
    assert line_called("horn") is None


def test_an_engine_is_started_after_what_could_set_it_alight_and_revved_once_it_can_be_stopped():
    assert {"leaks", "mix", "throttle"} <= set(line_called("kill-switch").after)
    assert "kill-switch" in line_called("rev-out").after
    assert "kill-switch" in line_called("strobe").after


@pytest.mark.parametrize(
    ("line", "overridden", "is_through"),
    [
        ("ears", ["Ear protection is missing."], True),
        ("ears", ["A guard is missing.", "Ear protection is missing. One pair short."], True),
        ("ears", ["A guard is missing."], False),
        ("ears", [], False),
        ("strobe", ["Ear protection is missing."], False),  # a line without a sentence of its own
    ],
)
def test_a_line_is_let_through_where_it_failed_before_whatever_its_note(line, overridden, is_through):
    assert is_let_through(line_called(line), overridden) == is_through
