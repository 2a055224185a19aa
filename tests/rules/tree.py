"""The files of the three rooms, as the rules of this folder look at them."""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
ROOMS = ("garage", "diagnostics", "jobs")


def room_files(*drawers: str) -> list[Path]:
    """The Python files of the rooms, or of the named drawers only; migrations are made, not written."""
    found = [path for room in ROOMS for path in sorted((ROOT / room).rglob("*.py")) if "migrations" not in path.parts]
    if not drawers:
        return found
    return [path for path in found if {path.stem, *path.relative_to(ROOT).parts} & set(drawers)]


def short(path: Path) -> str:
    return str(path.relative_to(ROOT))


@cache  # many rules look at the same files, and none changes what it is given
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"), filename=short(path))


def functions(tree: ast.AST) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    return (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef))


def calls_of(tree: ast.AST, *names: str) -> Iterator[ast.Call]:
    """Calls of something.name(…)."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in names:
            yield node
