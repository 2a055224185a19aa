"""The numbers of the hearing stand in two tables, each with its unit and how it was chosen."""

import ast
import re

import pytest

from tests.rules.tree import ROOT, parsed, short

CORE = ROOT / "diagnostics" / "hearing" / "core"
TABLES = (CORE / "limits.py", CORE / "verdict_limits.py")
OF_A_PROGRAM = CORE / "verdict" / "fitted.py"
WORDS = CORE / "heard_words.py"  # figures in sentences
HOW = {"manual", "physics", "practice", "choose", "saws", "fit", "size"}
LINE = re.compile(r"^[A-Z][A-Z0-9_]* = (?P<value>.+?)  # (?P<unit>[^|]+) \| (?P<how>\w+) \| (?P<what>.+)$")
# A half, a second a minute, and what says which one, how many sides, or nothing.
PLAIN = {0, 1, 2, 0.5, 60}
DECIMALS = "round"
NEGLIGIBLE = 1e-5  # keeps a division from nothing


def files():
    return [path for path in CORE.rglob("*.py") if path not in (*TABLES, OF_A_PROGRAM, WORDS)]


def test_each_line_of_the_table_says_unit_how_chosen_and_what_it_is():
    texts = (table.read_text(encoding="utf-8").split('"""')[2] for table in TABLES)
    limits = [line for text in texts for line in text.splitlines() if line and not line.startswith("#")]
    assert len(limits) > 150
    assert [line for line in limits if not (found := LINE.match(line)) or found["how"] not in HOW] == []


def test_every_way_of_choosing_is_told_at_the_head_of_the_table():
    told = set(re.findall(r"^(\w+) {2,}", ast.get_docstring(parsed(TABLES[0])), re.MULTILINE))
    assert told == HOW


def test_every_limit_is_used():
    names = {node.targets[0].id for table in TABLES for node in parsed(table).body if isinstance(node, ast.Assign)}
    used = set(re.findall(r"\b(?:verdict_)?limits\.([A-Z0-9_]+)", "".join(path.read_text() for path in files())))
    assert names - used == set()


@pytest.mark.parametrize("path", files(), ids=short)
def test_no_number_of_the_hearing_stands_outside_the_table(path):
    tree = parsed(path)
    rounded = {id(part) for call in _calls(tree, DECIMALS) for part in call.args[1:]}
    found = [
        f"{short(path)}:{node.lineno} {node.value}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and type(node.value) in (int, float) and id(node) not in rounded
        if node.value not in PLAIN and not 0 < node.value < NEGLIGIBLE
    ]
    assert found == []


def _calls(tree, name):
    return [node for node in ast.walk(tree) if isinstance(node, ast.Call) and getattr(node.func, "id", "") == name]
