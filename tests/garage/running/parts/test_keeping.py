"""A part that dies is started again alone, later each time; one that gives no sign of life too."""

import os
import signal
import subprocess
import time
from collections.abc import Iterator
from dataclasses import dataclass, field

import pytest

from garage.running.parts.keeping import Keeper, RunningPart, Sign
from tests.processes import still_running


@dataclass
class Tried:
    """Two parts that only sleep, and a clock that stands still."""

    now_s: float = 1000.0
    signs_given: int = 0
    noted: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.children: dict[str, subprocess.Popen[bytes]] = {}
        signs = [Sign(lambda: self.signs_given, 900.0)]
        self.worker, self.web = RunningPart("worker", asleep, signs), RunningPart("web server", asleep, [])
        tells = {"clock_s": lambda: self.now_s, "note": self.noted.append, "say": self.said.append}
        self.keeper = Keeper([self.web, self.worker], self.children, **tells)
        for part in self.keeper.parts:
            self.children[part.name], part.begun_s = part.start(), self.now_s
        self.looked()

    def looked(self, *, after_s: float = 0.0) -> None:
        self.now_s += after_s
        for part in self.keeper.parts:
            self.keeper.look_after(part)

    def kill_the_worker(self) -> None:
        child = self.children["worker"]
        os.kill(child.pid, signal.SIGKILL)
        os.waitid(os.P_PID, child.pid, os.WEXITED | os.WNOWAIT)


def asleep() -> subprocess.Popen[bytes]:
    return subprocess.Popen(["sleep", "60"], start_new_session=True)


@pytest.fixture
def tried() -> Iterator[Tried]:
    made = Tried()
    yield made
    for child in made.children.values():
        child.kill()
        child.wait()


def test_one_that_dies_is_started_again_alone(tried):
    web, worker = tried.children["web server"], tried.children["worker"]
    tried.kill_the_worker()
    tried.looked()
    assert "worker" not in tried.children
    tried.looked(after_s=1.0)
    assert tried.children["worker"].pid != worker.pid
    assert tried.children["worker"].poll() is None
    assert tried.children["web server"] is web
    assert web.poll() is None
    assert tried.noted == ["worker"]
    assert tried.said == ["The worker stopped on its own (status -9); it is started again in 1 s."]


def test_one_that_dies_again_and_again_waits_longer_each_time(tried):
    for wait_s in (1, 2, 4, 8, 16, 32, 60, 60):
        tried.kill_the_worker()
        tried.looked()
        tried.looked(after_s=wait_s - 0.1)
        assert "worker" not in tried.children
        tried.looked(after_s=0.1)
        assert "worker" in tried.children


def test_one_that_has_run_for_a_while_is_started_again_at_once(tried):
    for _ in range(3):
        tried.kill_the_worker()
        tried.looked()
        tried.looked(after_s=60.0)
    tried.signs_given += 1
    tried.looked(after_s=60.0)
    tried.kill_the_worker()
    tried.looked()
    assert tried.said[-1].endswith("it is started again in 1 s.")


def test_one_that_gives_no_sign_of_life_is_ended_and_started_again(tried):
    worker = tried.children["worker"]
    worker.send_signal(signal.SIGSTOP)  # frozen, it hears nothing but the end
    tried.looked(after_s=900.0)
    assert tried.children["worker"] is worker
    tried.looked(after_s=1.0)
    assert worker.returncode == -signal.SIGKILL
    tried.looked(after_s=1.0)
    assert tried.children["worker"].poll() is None
    assert tried.said == ["The worker gave no sign of life for 15 minutes; it is started again in 1 s."]


def test_one_that_gives_signs_stays(tried):
    worker = tried.children["worker"]
    for _ in range(5):
        tried.signs_given += 1
        tried.looked(after_s=800.0)
    assert tried.children["worker"] is worker
    assert tried.said == []


def test_one_that_was_started_again_has_its_whole_time_to_give_a_sign(tried):
    tried.looked(after_s=901.0)
    tried.looked(after_s=1.0)
    again = tried.children["worker"]
    tried.looked(after_s=899.0)
    assert tried.children["worker"] is again


def test_where_no_process_can_be_had_it_is_tried_again_later(tried):
    def refused() -> subprocess.Popen[bytes]:
        raise OSError(11, "Resource temporarily unavailable")

    tried.worker.start = refused
    tried.kill_the_worker()
    tried.looked()
    tried.looked(after_s=1.0)
    assert "cannot be started (Resource temporarily unavailable)" in tried.said[-1]
    tried.worker.start = asleep
    tried.looked(after_s=60.0)
    assert tried.children["worker"].poll() is None


def test_what_it_has_started_goes_with_it(tried):
    """A worker's beat outlives a worker that was killed."""
    child = subprocess.Popen(
        ["sh", "-c", "sleep 61 & echo $!; wait"], start_new_session=True, stdout=subprocess.PIPE, text=True
    )
    left = int(child.stdout.readline())
    tried.children["worker"].kill()
    tried.children["worker"].wait()
    tried.children["worker"] = child
    tried.kill_the_worker()
    tried.looked()
    give_up_s = time.monotonic() + 30
    while still_running({left}):
        assert time.monotonic() < give_up_s
        time.sleep(0.01)
    child.stdout.close()
