"""Which small faults no test notices: `python -m tests.bench.mutants garage/core/money.py` sows them into one module.

Each change that mutmut makes is judged by the module's mirrored test file and by the examples in its docstrings; a
module without a test file of its own by the mirrored folder. A folder stands for all of its modules. Without a name,
the fifth change of every function of the cores and the changes is tried: a sample that is the same each time. The work
is done on a copy in var/mutants.
"""

from __future__ import annotations

import ast
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
MUTMUT = Path(sys.executable).parent / "mutmut"
ROOMS = ("garage", "diagnostics", "diagnostics/hearing", "jobs")
DRAWERS = ("core", "changes")
SAMPLE = "*__mutmut_5"
LIVED = ("survived", "no tests", "suspicious")
SLOW_S = 10.0  # what mutmut allows beside the time of the tests themselves, times 15: a busy machine is no verdict


def mirrored(module: Path, tests: Path = ROOT / "tests") -> Path:
    """The test file of a module, or the folder that tests it along with others.

    >>> mirrored(Path("garage/core/money.py")).relative_to(ROOT).as_posix()
    'tests/garage/core/test_money.py'
    """
    own = tests / module.parent / f"test_{module.name}"
    return own if own.exists() else own.parent


def modules(named: str) -> list[Path]:
    """Those that a name stands for, from the project's folder. An empty name stands for all cores and changes."""
    folders = [named] if named else [f"{room}/{drawer}" for room in ROOMS for drawer in DRAWERS]
    found = [path for folder in folders for path in sorted((ROOT / folder).rglob("*.py"))]
    found += [ROOT / folder for folder in folders if folder.endswith(".py")]
    return [path.relative_to(ROOT) for path in found if path.name != "__init__.py"]


def narrowed(settings: str, module: Path) -> str:
    """The project's settings, with mutmut's share of them narrowed to one module and to what judges it."""
    judges = [mirrored(module).relative_to(ROOT).as_posix(), module.as_posix()]
    settings = re.sub(r"(?m)^only_mutate = .*$", lambda _: f'only_mutate = ["{module}"]', settings)
    settings = settings.replace("[tool.mutmut]\n", f"[tool.mutmut]\ntimeout_constant = {SLOW_S}\n")
    selection = "pytest_add_cli_args_test_selection"
    return re.sub(rf"(?m)^{selection} = .*$", lambda _: f"{selection} = {judges}", settings)


def undecorated(source: str) -> str:
    """The same module with its decorators called after each function: mutmut passes over a function that has one.

    >>> print(undecorated("@transaction.atomic\\ndef rung():\\n    pass"))
    def rung():
        pass
    rung = transaction.atomic(rung)
    """
    lines = source.splitlines()
    functions = [node for node in ast.parse(source).body if isinstance(node, ast.FunctionDef) and node.decorator_list]
    for function in reversed(functions):
        calls = [f"{function.name} = {ast.unparse(one)}({function.name})" for one in reversed(function.decorator_list)]
        end = function.end_lineno or function.lineno
        lines[function.decorator_list[0].lineno - 1 : end] = lines[function.lineno - 1 : end] + calls
    return "\n".join(lines)


def copied(name: str) -> Path:
    """A fresh copy of what git knows or would know; its tests share one migrated database."""
    copy = ROOT / "var" / "mutants" / name
    shutil.rmtree(copy, ignore_errors=True)
    listed = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    names = subprocess.run(listed, cwd=ROOT, capture_output=True, text=True, check=True).stdout.split("\0")
    for path in filter(None, names):
        if (ROOT / path).is_file():
            (copy / path).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / path, copy / path)
    with (copy / "tests" / "conftest.py").open("a", encoding="utf-8") as conftest:
        conftest.write("\nfrom tests.bench.kept_database import django_db_setup\n")
    return copy


def verdicts(copy: Path) -> dict[str, str]:
    """Each change with "killed", "survived", "timeout" and the like; "not checked" where it was not tried."""
    listed = [MUTMUT, "results", "--all", "true"]
    said = subprocess.run(listed, cwd=copy, capture_output=True, text=True, check=True).stdout
    return dict(line.strip().split(": ", 1) for line in said.splitlines() if "__mutmut_" in line)


def judged(copy: Path, module: Path, which: list[str]) -> dict[str, str]:
    """The verdict on each change of the module that was asked for; shows those that lived."""
    settings = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    (copy / "pyproject.toml").write_text(narrowed(settings, module), encoding="utf-8")
    (copy / module).write_text(undecorated((ROOT / module).read_text(encoding="utf-8")), encoding="utf-8")
    shutil.rmtree(copy / "mutants", ignore_errors=True)
    with (copy / "mutmut.log").open("w") as log:
        tried = [MUTMUT, "run", "--max-children", "1", *which]
        subprocess.run(tried, cwd=copy, stdout=log, stderr=subprocess.STDOUT, check=False)
    made = verdicts(copy)
    found = {name: verdict for name, verdict in made.items() if verdict != "not checked"}
    for name in lived(found):
        subprocess.run([MUTMUT, "show", name], cwd=copy, check=True)
    if "*" in which and len(found) < len(made):
        raise SystemExit(f"mutmut broke off: {len(made) - len(found)} changes were not tried, see {copy}/mutmut.log")
    return found


def lived(found: dict[str, str]) -> Iterator[str]:
    return (name for name, verdict in found.items() if verdict in LIVED)


def main(named: str = "", *which: str) -> int:
    """which: patterns of names of changes, such as "*__mutmut_3". All changes of what is named without them."""
    patterns = list(which) or ["*" if named else SAMPLE]
    copy = copied("-".join(Path(named).with_suffix("").parts) or "all")
    caught = tried = 0
    for module in modules(named):
        found = judged(copy, module, patterns)
        alive = len(list(lived(found)))
        caught, tried = caught + len(found) - alive, tried + len(found)
        slow = list(found.values()).count("timeout")
        said = f", {slow} of them only by running out of time" if slow else ""
        sys.stdout.write(f"{module}: {len(found) - alive} of {len(found)} caught{said}\n")
        sys.stdout.flush()
    sys.stdout.write(f"{named or 'sample of cores and changes'}: {caught} of {tried} caught\n")
    return 0 if tried else 1


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
