"""What a view can bring about: which functions are named by which, over all rooms, read from the text.

A name counts wherever it stands, so that a function handed on in a lambda, a partial or a table is found too.
"""

import ast
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from django.urls import URLPattern, URLResolver, get_resolver

from tests.rules.tree import ROOT, parsed, room_files

Graph = dict[str, set[str]]  # full name of a function or a module's value, and the full names that stand in it


def module_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


def parts() -> dict[str, ast.AST]:
    """Every function and every value of a module, by its full name."""
    found: dict[str, ast.AST] = {}
    for path in room_files():
        module = module_of(path)
        for node in parsed(path).body:
            for name in _names_of(node):
                found[f"{module}.{name}"] = node
    return found


def _names_of(node: ast.stmt) -> Iterator[str]:
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        yield node.name
    elif isinstance(node, ast.Assign):
        yield from (target.id for target in node.targets if isinstance(target, ast.Name))
    elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
        yield node.target.id


def graph(known: dict[str, ast.AST]) -> Graph:
    imports = {module_of(path): _imports(path) for path in room_files()}
    return {
        name: set(_named_in(node, name.rpartition(".")[0], imports[name.rpartition(".")[0]], known))
        for name, node in known.items()
    }


def _imports(path: Path) -> dict[str, str]:
    return {
        alias.name: f"{node.module}.{alias.name}"
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.ImportFrom) and node.module
        for alias in node.names
    }


def _named_in(node: ast.AST, module: str, imported: dict[str, str], known: dict[str, ast.AST]) -> Iterator[str]:
    for one in ast.walk(node):
        if isinstance(one, ast.Name):
            full = imported.get(one.id, f"{module}.{one.id}")
        elif isinstance(one, ast.Attribute) and isinstance(one.value, ast.Name):
            full = f"{imported.get(one.value.id, '')}.{one.attr}"
        else:
            continue
        if full in known and known[full] is not node:
            yield full


def reached(start: str, named: Graph, *, not_through: Iterable[str] = ()) -> set[str]:
    """Everything that can be come to from start without passing what is left out."""
    left_out, found, waiting = set(not_through), set(), [start]
    while waiting:
        name = waiting.pop()
        if name in found or name in left_out:
            continue
        found.add(name)
        waiting += named.get(name, ())
    return found


def views(patterns: list | None = None) -> Iterator[tuple[str, str]]:
    """Each address's name with the full name of the function that answers it."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLResolver):
            yield from views(pattern.url_patterns)
        elif isinstance(pattern, URLPattern) and pattern.name:
            view: Callable = pattern.callback
            yield pattern.name, f"{view.__module__}.{view.__qualname__}"
