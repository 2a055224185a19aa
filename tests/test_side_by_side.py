"""Every test is dealt out once, a file at a time, the long ones to half of the programs and the short to the others."""

from types import SimpleNamespace

import pytest

from tests.side_by_side import FromBothEnds, piece_of


@pytest.mark.parametrize(
    ("name", "piece"),
    [
        ("tests/test_a.py::test_b[sqlite-two rollers]", "tests/test_a.py::sqlite"),
        ("tests/test_a.py::test_b[postgresql-redis]", "tests/test_a.py::postgresql"),
        ("tests/test_a.py::test_b[not-on-postgresql.dump]", "tests/test_a.py"),
        ("tests/test_a.py::test_sqlite", "tests/test_a.py"),
        ("garage/core/errors.py::garage.core.errors", "garage/core/errors.py"),
    ],
)
def test_a_piece_is_a_file_or_its_half_on_one_database(name, piece):
    assert piece_of(name) == piece


class Program:
    """As xdist has it on this side: keeps the numbers of the tests that it is to run."""

    def __init__(self):
        self.given, self.shutting_down = [], False
        self.gateway = SimpleNamespace(id="gw")

    def send_runtest_some(self, numbers):
        self.given += numbers

    def shutdown(self):
        self.shutting_down = True


@pytest.fixture
def scheduler():
    option = SimpleNamespace(loadscopereorder=False)
    return FromBothEnds(SimpleNamespace(option=option, getvalue=lambda _name: ["popen", "popen"]))


def test_every_second_program_begins_at_the_other_end_and_each_test_is_run_once(scheduler):
    tests = [f"tests/test_{letter}.py::test_{number}" for letter in "abcdefgh" for number in range(5)]
    programs = [Program(), Program()]
    for program in programs:
        scheduler.add_node(program)
    for program in programs:
        scheduler.add_node_collection(program, tests)
    scheduler.schedule()
    done = [0, 0]
    while any(done[n] < len(program.given) for n, program in enumerate(programs)):
        for n, program in enumerate(programs):
            if done[n] < len(program.given):
                scheduler.mark_test_complete(program, program.given[done[n]])
                done[n] += 1
    letters = ["".join(tests[number][11] for number in program.given[::5]) for program in programs]
    assert letters == ["abcd", "hgfe"]
    assert sorted(number for program in programs for number in program.given) == list(range(len(tests)))
    assert all(program.shutting_down for program in programs)
