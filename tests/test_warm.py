"""What code begun beside a test leaves behind: nothing."""

import pytest

from tests.processes import descendants, still_running
from tests.servers import resting_garage

GOES_ON = """
import subprocess, time
begun = subprocess.Popen(["sleep", "3600"])
print("up", begun.pid, "there", flush=True)
time.sleep(3600)
"""


@pytest.fixture
def garage(prepared_data):
    with resting_garage(prepared_data) as made:
        yield made


def test_killed_it_goes_with_all_that_it_has_started(garage):
    with garage.begin(GOES_ON) as work:
        work.wait_for("there")
        started = int(work.heard.split()[1])
        assert still_running({work.number, started}) == {work.number, started}
    assert still_running({work.number, started}) == set()


def test_it_is_killed_where_the_test_fails(garage):
    with pytest.raises(ZeroDivisionError), garage.begin(GOES_ON) as work:
        1 / 0  # noqa: B018
    assert not work.heard
    assert descendants(garage.warm.program.pid) == set()


def test_it_ends_with_the_program_that_it_was_forked_from(garage):
    with garage.begin("import time\nprint('up', flush=True)\ntime.sleep(3600)") as work:
        work.wait_for("up")
        garage.warm.stop()
        with pytest.raises(AssertionError, match="did not come to its end"):
            work.to_its_end()


def test_what_is_waited_for_and_never_said_is_told_with_what_was(garage):
    with garage.begin("print('half')\n1 / 0") as work, pytest.raises(AssertionError, match=r"half(?s:.*)ZeroDivision"):
        work.wait_for("whole")
