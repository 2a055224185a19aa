"""A name means one thing in all rooms, and is readable where it is used."""

import ast
import re
from collections import defaultdict
from collections.abc import Iterator

from tests.rules.tree import parsed, room_files, short

OTHER_NAMES = {
    "np": "as numpy's own pages and every text about it write it",
    "npt": "as numpy's own pages write its types",
}
SAME_EVERYWHERE = {
    "Meta": "Django looks for a class of that name inside each model and form",
    "Command": "Django looks for a class of that name in each management command",
}
CAPITALISED = re.compile(r"_?[A-Z][A-Za-z0-9]*[a-z][A-Za-z0-9]*\Z")  # Sheet or StepsLeft, not LATE_MIN


def test_no_import_needs_another_name_to_be_readable():
    found = [
        f"{short(path)}:{node.lineno} {name.name} as {name.asname}"
        for path in room_files()
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Import | ast.ImportFrom)
        for name in node.names
        if name.asname and name.asname not in OTHER_NAMES
    ]
    assert found == []


def test_each_class_and_each_named_type_means_one_thing():
    places = defaultdict(list)
    for path in room_files():
        for name, line in _types_named(parsed(path)):
            places[name].append(f"{short(path)}:{line}")
    twice = {name: where for name, where in places.items() if len(where) > 1 and name not in SAME_EVERYWHERE}
    assert len(places) > 300  # they are found at all
    assert twice == {}


def _types_named(tree: ast.Module) -> Iterator[tuple[str, int]]:
    """Classes anywhere, and what a module calls a type: Floats = NDArray[np.float64]."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            yield node.name, node.lineno
    for line in tree.body:
        targets = line.targets if isinstance(line, ast.Assign) else [getattr(line, "target", None)]
        for target in targets:
            if isinstance(target, ast.Name) and CAPITALISED.match(target.id):
                yield target.id, line.lineno


def test_a_type_named_twice_would_be_seen():
    tree = ast.parse("Places = dict[int, int]\nLATE_MIN = 5\nclass Sheet:\n    class Meta: pass\nrow: int = 1\n")
    assert list(_types_named(tree)) == [("Sheet", 3), ("Meta", 4), ("Places", 1)]
