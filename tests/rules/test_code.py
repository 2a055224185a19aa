"""The house rules that a reader would have to check by eye otherwise. Each lists what breaks it, with its place."""

import ast
import re
import subprocess
import sys
from pathlib import Path

from tests.rules.tree import ROOT, calls_of, functions, parsed, room_files, short

LONGEST_FILE = 300  # lines, common practice of this house
LONGEST_FUNCTION = 40  # lines
READS_THE_ENVIRONMENT = {
    "garage/settings.py",  # the one place where a variable is read
    "garage/running/serve.py",  # hands its own on to what it starts
    "garage/running/backups/postgresql.py",  # hands its own on to PostgreSQL's programs
    "garage/running/parts/asked.py",  # a health check: DATA and SITE_URL, without Django
    "garage/celery.py",  # say where the settings are, and read nothing
    "garage/wsgi.py",
}


def test_every_room_is_looked_at():
    looked_at = {short(path) for path in room_files()}
    assert {"garage/settings.py", "diagnostics/apps.py", "jobs/apps.py"} <= looked_at
    assert len(looked_at) > 60


def test_packages_are_empty_so_that_importing_a_core_starts_nothing():
    packages = [path for path in room_files() if path.name == "__init__.py" and path.parent.name != "models"]
    assert [short(path) for path in packages if path.read_text().strip()] == []


def test_the_package_of_the_models_only_names_them_for_django():
    for path in room_files("models"):
        if path.name == "__init__.py":
            assert [node for node in _statements(path) if not isinstance(node, ast.ImportFrom)] == [], short(path)


def _statements(path: Path) -> list[ast.stmt]:
    """Without docstring and without the list of what is named."""
    body = parsed(path).body
    names = [node for node in body if isinstance(node, ast.Assign) and node.targets[0].id == "__all__"]
    return [node for node in body if node not in names and not isinstance(node, ast.Expr)]


def test_imports_go_one_way_only():
    linter = Path(sys.executable).parent / "lint-imports"
    done = subprocess.run([linter, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout


def test_files_and_functions_stay_small():
    long_files = [short(path) for path in room_files() if len(path.read_text().splitlines()) > LONGEST_FILE]
    long_functions = [
        f"{short(path)}:{function.lineno} {function.name}"
        for path in room_files()
        for function in functions(parsed(path))
        if function.end_lineno - function.lineno >= LONGEST_FUNCTION + _docstring_lines(function)
    ]
    assert (long_files, long_functions) == ([], [])


def _docstring_lines(function: ast.FunctionDef) -> int:
    """An interface may need many words: only what is done counts."""
    return len((ast.get_docstring(function) or "").splitlines())


IMPORTED_LATE = {  # libraries that are half of a process's start, and that most processes never need
    "diagnostics/hearing/tasks.py",
    "garage/core/planning/solving/solver.py",
    "garage/output/pdf.py",
    "garage/output/pictures.py",
}


def test_no_import_stands_inside_a_function():
    found = [
        f"{short(path)}:{node.lineno} in {function.name}"
        for path in room_files()
        if path.name != "apps.py"  # Django's ready() is the documented place to connect what needs the models
        if short(path) not in IMPORTED_LATE
        for function in functions(parsed(path))
        for node in ast.walk(function)
        if isinstance(node, ast.Import | ast.ImportFrom)
    ]
    assert found == []


def test_only_the_settings_read_the_environment():
    found = [
        short(path)
        for path in room_files()
        if short(path) not in READS_THE_ENVIRONMENT
        if re.search(r"\bos\.environ\b|\bgetenv\b|\benviron\.Env\b", path.read_text())
    ]
    assert found == []


def test_pages_tasks_and_commands_never_ask_the_tables_themselves():
    found = [
        f"{short(path)}:{node.lineno}"
        for path in room_files("views", "tasks", "management")
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Attribute)
        if node.value.attr in ("objects", "_default_manager", "_base_manager") and node.attr != "none"  # asks nothing
    ]
    assert found == []


def test_rows_are_written_in_changes_only():
    writes = ("save", "create", "bulk_create", "bulk_update", "get_or_create", "update_or_create", "delete")
    found = [
        f"{short(path)}:{call.lineno} .{call.func.attr}()"
        for path in room_files("views", "tasks", "pages", "reads", "models", "management", "receivers")
        for call in calls_of(parsed(path), *writes)
        if not any(keyword.arg == "kind" for keyword in call.keywords)  # a picture of a link, saved into the answer
    ]
    assert found == []


def test_no_code_below_the_pages_knows_an_address_of_a_page():
    found = [
        f"{short(path)}:{node.lineno}"
        for path in room_files("reads", "changes", "models", "core")
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.ImportFrom) and node.module in ("django.urls", "django.shortcuts")
        if {name.name for name in node.names} & {"reverse", "reverse_lazy", "redirect", "resolve_url"}
    ]
    assert found == []


def test_a_refusal_is_answered_by_the_two_helpers_alone():
    """A view that catches the error itself answers in a third way. A clip's form is not read before its limit stands,
    so that its refusals come before there is a form.
    """
    answers = {
        "garage/views/answers.py",
        "diagnostics/hearing/views/clip.py",
        "diagnostics/hearing/views/owner_clip.py",
    }
    found = [
        f"{short(path)}:{node.lineno}"
        for path in room_files("views")
        if short(path) not in answers
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.ExceptHandler) and ast.unparse(node.type or ast.Constant(0)) in ("Refused", "Showable")
    ]
    assert found == []


def test_the_clock_is_asked_at_the_door_only():
    """The middleware gives each request its time; tasks and commands ask for themselves. Everything else is told."""
    told = ("core", "models", "reads", "pages", "changes", "receivers", "papers", "views", "demo", "tour")
    found = [
        f"{short(path)}:{call.lineno} .{call.func.attr}()"
        for path in room_files(*told)
        if path.name != "middleware.py" and "management" not in path.parts
        for call in calls_of(parsed(path), "now", "today", "utcnow", "monotonic", "perf_counter")
    ]
    assert found == []


def test_a_task_is_sent_in_one_place_that_no_broker_can_fail():
    found = [
        short(path)
        for path in room_files()
        for _ in calls_of(parsed(path), "send_task", "delay", "apply_async", "apply_async_on_commit", "delay_on_commit")
    ]
    assert found == ["garage/wake.py"]


def test_no_error_is_swallowed():
    found = [
        f"{short(path)}:{node.lineno}"
        for path in room_files()
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.ExceptHandler) and all(isinstance(line, ast.Pass) for line in node.body)
    ]
    assert found == []
