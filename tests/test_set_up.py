"""The set-up script and the Makefile, asked on machines that lack something; stand-ins play the machine's programs."""

import os
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
ALL_INSTALLED = 'shift 3; for package in "$@"; do echo "installed $package"; done'  # after -W -f FORMAT


@pytest.fixture
def machine(tmp_path):
    """Programs that are found before the machine's own, each with the name and the script it is given."""

    def add(name: str, script: str) -> Path:
        program = tmp_path / name
        program.write_text(f"#!/bin/sh\n{script}\n")
        program.chmod(0o755)
        return program

    add.path = f"{tmp_path}:{os.environ['PATH']}"
    return add


def ask(*command: str, **variables: str) -> subprocess.CompletedProcess:
    environment = {key: value for key, value in os.environ.items() if key not in ("MAKEFLAGS", "MAKELEVEL", "PYTHON")}
    return subprocess.run(
        command,
        cwd=ROOT,
        env=environment | variables,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )


def test_a_python_that_is_too_old_is_one_clear_sentence(machine):
    old = machine("old-python", 'case "$2" in *platform*) echo Python 3.9.2 ;; *) exit 1 ;; esac')
    done = ask("make", "--no-print-directory", "run", f"PYTHON={old}")
    assert done.returncode != 0
    assert done.stderr.splitlines()[0] == f"PYTHON={old} is Python 3.9.2; Tickover needs Python 3.11 or newer."


def test_the_newest_python_is_found_if_the_systems_own_is_too_old(machine):
    old = 'case "$2" in *platform*) echo Python 3.9.2 ;; *) exit 1 ;; esac'
    for name in ("python3", "python3.13", "python3.12", "python3.11"):
        machine(name, old)
    done = ask(".ci/set_up", "run", PATH=machine.path)
    assert done.returncode != 0
    assert "Python 3.11 or newer and python3 here is Python 3.9.2" in done.stderr
    machine("python3.12", f'exec {os.path.realpath("/proc/self/exe")} "$@"')
    assert ask(".ci/set_up", "run", PATH=machine.path).returncode == 0


def test_without_rights_missing_packages_end_in_the_one_line_to_run(machine):
    machine("dpkg-query", "exit 1")
    machine("id", "echo 1000")
    machine("sudo", "exit 1")
    machine("apt-get", "echo must not be asked >&2; exit 1")
    done = ask(".ci/set_up", "run", PATH=machine.path)
    assert done.returncode == 1
    first, line = done.stderr.splitlines()
    assert first == "Run this once, then make again:"
    assert re.fullmatch(
        r"  sudo sh -c 'apt-get update && apt-get install -y --no-install-recommends [a-z0-9 .-]+'", line
    )
    assert "libpango-1.0-0" in line


def test_packages_that_are_there_are_not_asked_for_again(machine):
    machine("dpkg-query", ALL_INSTALLED)
    machine("apt-get", "echo must not be asked >&2; exit 1")
    done = ask(".ci/set_up", "run", PATH=machine.path)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_missing_packages_are_installed_once_without_a_question(machine, tmp_path):
    machine("dpkg-query", f"[ -e {tmp_path}/done ] || exit 1; {ALL_INSTALLED}")
    machine("id", "echo 0")
    machine(
        "apt-get",
        f'echo "$DEBIAN_FRONTEND $*" >> {tmp_path}/asked; case "$*" in *install*) touch {tmp_path}/done ;; esac',
    )
    assert ask(".ci/set_up", "run", PATH=machine.path).returncode == 0
    update, install = (tmp_path / "asked").read_text().splitlines()
    assert update == "noninteractive -qq update"
    assert install.startswith("noninteractive -qq -y")
    assert "--no-install-recommends libpango-1.0-0" in install
    assert ask(".ci/set_up", "run", PATH=machine.path).returncode == 0
    assert len((tmp_path / "asked").read_text().splitlines()) == 2


def test_help_names_every_target():
    targets = set(re.findall(r"^([a-z-]+):", (ROOT / "Makefile").read_text(), flags=re.MULTILINE))
    said = ask("make", "--no-print-directory", "help").stdout
    assert targets == set(re.findall(r"^  make ([a-z-]+) ", said, flags=re.MULTILINE))
