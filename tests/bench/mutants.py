"""Which small faults no test notices: `python -m tests.bench.mutants garage/core/money.py` sows them into one module.

Each change that mutmut makes is judged by the module's mirrored test file and by the examples in its docstrings. A
folder is judged by its mirrored folder. Without a module, the fifth change of every function of the cores is tried
against all tests of the cores: a sample that is the same each time. The work is done on a copy in var/mutants.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
MUTMUT = Path(sys.executable).parent / "mutmut"
SAMPLE = "*__mutmut_5"
LIVED = ("survived", "no tests", "suspicious")


def mirrored(module: Path) -> Path:
    """The tests of a module, or of a folder of modules.

    >>> str(mirrored(Path("garage/core/money.py"))), str(mirrored(Path("garage/core/selling")))
    ('tests/garage/core/test_money.py', 'tests/garage/core/selling')
    """
    tests = "tests" / module
    return tests.with_name(f"test_{module.name}") if module.suffix else tests


def narrowed(settings: str, module: Path) -> str:
    """The project's settings, with mutmut's share of them narrowed to one module and to what judges it."""
    sown = str(module) if module.suffix else f"{module}/*"
    judges = [str(path) for path in (mirrored(module), module) if (ROOT / path).exists()]
    settings = re.sub(r"(?m)^only_mutate = .*$", lambda _: f'only_mutate = ["{sown}"]', settings)
    selection = "pytest_add_cli_args_test_selection"
    return re.sub(rf"(?m)^{selection} = .*$", lambda _: f"{selection} = {judges}", settings)


def copied(module: Path | None) -> Path:
    """A fresh copy of what git knows or would know, ready for mutmut."""
    copy = ROOT / "var" / "mutants" / ("-".join(module.with_suffix("").parts) if module else "cores")
    shutil.rmtree(copy, ignore_errors=True)
    listed = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    names = subprocess.run(listed, cwd=ROOT, capture_output=True, text=True, check=True).stdout.split("\0")
    for name in filter(None, names):
        if (ROOT / name).is_file():
            (copy / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, copy / name)
    if module:
        settings = copy / "pyproject.toml"
        settings.write_text(narrowed(settings.read_text(encoding="utf-8"), module), encoding="utf-8")
    return copy


def verdicts(copy: Path) -> dict[str, str]:
    """Each change with "killed", "survived", "timeout" and the like; "not checked" where it was not tried."""
    listed = [MUTMUT, "results", "--all", "true"]
    said = subprocess.run(listed, cwd=copy, capture_output=True, text=True, check=True).stdout
    return dict(line.strip().split(": ", 1) for line in said.splitlines() if "__mutmut_" in line)


def main(named: str = "", which: str = "") -> int:
    copy = copied(Path(named) if named else None)
    tried = [MUTMUT, "run", "--max-children", "1", which or ("*" if named else SAMPLE)]
    with (copy / "mutmut.log").open("w") as log:
        subprocess.run(tried, cwd=copy, stdout=log, stderr=subprocess.STDOUT, check=False)
    judged = verdicts(copy)
    found = {name: verdict for name, verdict in judged.items() if verdict != "not checked"}
    lived = [name for name, verdict in found.items() if verdict in LIVED]
    for name in lived:
        subprocess.run([MUTMUT, "show", name], cwd=copy, check=True)
    sys.stdout.write(f"{named or 'sample of the cores'}: {len(found) - len(lived)} of {len(found)} caught\n")
    if named and not which and len(found) < len(judged):
        sys.stdout.write(
            f"mutmut broke off: {len(judged) - len(found)} changes were not tried, see {copy}/mutmut.log\n"
        )
        return 1
    return 0 if found else 1


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
