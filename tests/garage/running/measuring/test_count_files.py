"""Files of processes that are gone are dropped, and no others."""

import os
import subprocess
import sys

from garage.running.measuring.count_files import forget_the_dead, process_name


def test_what_a_dead_process_of_this_computer_left_is_dropped_and_nothing_else(tmp_path):
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    dead = process_name().replace(str(os.getpid()), str(ended.pid))
    names = [f"counter_{one}.db" for one in (dead, process_name(), f"another-{ended.pid}")] + ["notes.txt"]
    for name in names:
        (tmp_path / name).touch()
    forget_the_dead(tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(names[1:])


def test_a_folder_that_is_not_there_yet_is_nothing_to_tidy(tmp_path):
    forget_the_dead(tmp_path / "metrics")
