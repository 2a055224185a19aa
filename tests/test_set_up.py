"""The set-up script and the Makefile, asked on machines that lack something; stand-ins play the machine's programs."""

import os
import re
import shutil
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
    assert done.stderr.splitlines()[0] == f"PYTHON={old} is Python 3.9.2; Tickover needs Python 3.11, 3.12 or 3.13."


def test_the_newest_python_is_found_if_the_systems_own_is_too_old(machine):
    old = 'case "$2" in *platform*) echo Python 3.9.2 ;; *) exit 1 ;; esac'
    for name in ("python3", "python3.13", "python3.12", "python3.11"):
        machine(name, old)
    done = ask(".ci/set_up", "run", PATH=machine.path)
    assert done.returncode != 0
    assert "needs Python 3.11, 3.12 or 3.13 and python3 here is Python 3.9.2; name one with PYTHON=" in done.stderr
    machine("python3.12", f'exec {os.path.realpath("/proc/self/exe")} "$@"')
    assert ask(".ci/set_up", "run", PATH=machine.path).returncode == 0


@pytest.fixture
def system(machine, tmp_path):
    """Lets the script think that it runs elsewhere. Nothing is installed there, so every package client says so."""
    for client in ("dpkg-query", "apt-get", "dnf", "brew", "sudo"):
        machine(client, f"echo {client} must not be asked >&2; exit 1")
    machine("python3", _python_of("3.13.1"))

    def ask_there(ids: str, kernel: str = "Linux", chip: str = "x86_64", purpose: str = "run", **variables: str):
        machine("uname", f'[ "$1" = -m ] && echo {chip} || echo {kernel}')
        (tmp_path / "os-release").write_text(ids)
        found = {"PATH": machine.path, "OS_RELEASE": str(tmp_path / "os-release")} | variables
        return ask(".ci/set_up", purpose, **found)

    return ask_there


def _python_of(version: str, *, has_libraries: bool = False) -> str:
    """A stand-in that fits the locks by its version, and finds the libraries that WeasyPrint loads or does not."""
    major, minor, _ = version.split(".")
    fits = 0 if (3, 11) <= (int(major), int(minor)) <= (3, 13) else 1
    return (
        f'case "$2" in *platform*) echo Python {version} ;; *version_info*) exit {fits} ;; '
        f"*find_library*) exit {0 if has_libraries else 1} ;; esac"
    )


FEDORA, DEBIAN = 'NAME="Fedora Linux"\nID=fedora\n', "ID=debian\n"


@pytest.mark.parametrize(
    ("ids", "kernel", "line"),
    [
        (FEDORA, "Linux", "  sudo dnf install -y pango dejavu-sans-fonts"),
        ('ID="rocky"\nID_LIKE="rhel centos fedora"\n', "Linux", "  sudo dnf install -y pango dejavu-sans-fonts"),
        ("", "Darwin", "  brew install pango"),
    ],
    ids=["Fedora", "its kin", "macOS"],
)
def test_where_packages_have_other_names_one_line_says_what_to_run(system, ids, kernel, line):
    done = system(ids, kernel)
    assert (done.returncode, done.stdout) == (1, "")
    first, said = done.stderr.splitlines()
    assert first.startswith("Run this once, then make again")
    assert said == line
    assert "libpango" not in done.stderr


def test_on_another_system_a_sentence_says_what_it_looks_for(system):
    done = system("ID=arch\n")
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1
    assert "Pango 1.44 or newer and HarfBuzz's subsetter" in done.stderr


@pytest.mark.parametrize("ids", [FEDORA, "ID=arch\n"], ids=["Fedora", "another"])
def test_where_the_libraries_are_there_nothing_is_asked_for(system, machine, ids):
    machine("python3", _python_of("3.13.1", has_libraries=True))
    done = system(ids)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.parametrize(
    ("ids", "chip", "says"),
    [
        (DEBIAN, "armv7l", "ready-made for x86-64 and arm64; this machine is armv7l."),
        ('ID="alpine"\n', "x86_64", "Alpine Linux has not: use the image"),
    ],
)
def test_a_machine_without_ready_made_libraries_is_one_sentence(system, ids, chip, says):
    done = system(ids, chip=chip)
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1
    assert says in done.stderr


def test_the_tests_on_another_system_than_debian_are_one_sentence(system, machine):
    machine("chromium", "exit 1").unlink()
    nothing_else = machine.path.partition(":")[0]
    for name in ("bash", "sed", "tr", "dirname", "env"):
        machine(name, f'exec {shutil.which(name)} "$@"')
    done = system("ID=ubuntu\nID_LIKE=debian\n", purpose="test", PATH=nothing_else)
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1
    assert "only Debian has them as packages that make can install" in done.stderr


@pytest.mark.parametrize("named", [False, True], ids=["found", "named"])
def test_a_python_too_new_for_the_locks_is_named(system, machine, named):
    for name in ("python3", "python3.13", "python3.12", "python3.11"):
        machine(name, _python_of("3.14.0"))
    done = system(FEDORA, PYTHON="python3") if named else system(FEDORA)
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1
    assert "Python 3.14.0" in done.stderr
    assert "Tickover needs Python 3.11, 3.12 or 3.13" in done.stderr


def test_ubuntu_has_debians_packages_but_for_the_browser(system, machine, tmp_path):
    machine("dpkg-query", f'echo "$@" >> {tmp_path}/asked; {ALL_INSTALLED}')
    machine("chromium", "exit 0")
    assert system("ID=ubuntu\nID_LIKE=debian\n", purpose="test").returncode == 0
    asked = (tmp_path / "asked").read_text()
    assert "libpango-1.0-0" in asked
    assert "chromium" not in asked
    assert system(DEBIAN, purpose="test").returncode == 0
    assert "chromium" in (tmp_path / "asked").read_text()


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
