"""The catalogues of what owners read: complete, compiled from what stands in them, each placeholder kept."""

from __future__ import annotations

import ast
import re
import shutil
import subprocess
import sys
from gettext import GNUTranslations
from pathlib import Path

import pytest

from garage.management.commands.messages import CATALOGUES
from tests.rules.tree import ROOMS, ROOT

PLACEHOLDER = re.compile(r"%\(\w+\)s|\{\w+\}|\[\w+\]|<[^>]+>")
FIELD = re.compile(r'^(msgid_plural|msgid|msgstr(?:\[\d\])?) (".*")$')
NAMES = [f"{path.relative_to(ROOT).parts[0]}-{code}" for code, path in CATALOGUES]


@pytest.mark.parametrize("catalogue", [path for _, path in CATALOGUES], ids=NAMES)
def test_every_text_is_translated_and_keeps_its_placeholders(catalogue: Path):
    entries = _entries(catalogue)
    assert [entry["msgid"] for entry in entries if not all(_translations(entry))] == []
    assert [entry["msgid"] for entry in entries if not _keeps_placeholders(entry)] == []
    assert "#, fuzzy" not in catalogue.read_text("utf-8")
    assert "#~" not in catalogue.read_text("utf-8")


@pytest.mark.parametrize("catalogue", [path for _, path in CATALOGUES], ids=NAMES)
def test_what_is_compiled_is_what_stands_in_it(catalogue: Path):
    with catalogue.with_suffix(".mo").open("rb") as file:
        compiled = GNUTranslations(file)
    for entry in _entries(catalogue):
        if "msgid_plural" in entry:
            said = [compiled.ngettext(entry["msgid"], entry["msgid_plural"], count) for count in (1, 2)]
        else:
            said = [compiled.gettext(entry["msgid"])]
        assert said == _translations(entry)


def test_no_text_of_the_code_is_missing_from_them(tmp_path: Path):
    """Collected anew into a copy, nothing is added and nothing goes."""
    copied = tmp_path / "tree"
    for place in (*ROOMS, "templates"):
        shutil.copytree(ROOT / place, copied / place)
    shutil.copy(ROOT / "manage.py", copied)
    subprocess.run([sys.executable, "manage.py", "messages"], cwd=copied, check=True, capture_output=True)
    for _, catalogue in CATALOGUES:
        again = copied / catalogue.relative_to(ROOT)
        assert [entry["msgid"] for entry in _entries(again)] == [entry["msgid"] for entry in _entries(catalogue)]


def _entries(catalogue: Path) -> list[dict[str, str]]:
    """Without the head, whose msgid is empty."""
    found: list[dict[str, str]] = []
    for block in catalogue.read_text("utf-8").split("\n\n"):
        entry: dict[str, str] = {}
        field = ""
        for line in block.splitlines():
            if begins := FIELD.match(line):
                field = begins[1]
                entry[field] = ast.literal_eval(begins[2])
            elif line.startswith('"'):
                entry[field] += ast.literal_eval(line)
        found.append(entry)
    return [entry for entry in found if entry.get("msgid")]


def _translations(entry: dict[str, str]) -> list[str]:
    return [text for field, text in entry.items() if field.startswith("msgstr")]


def _keeps_placeholders(entry: dict[str, str]) -> bool:
    """Of a plural each form has those of its own number."""
    texts = [entry["msgid"], *([entry["msgid_plural"]] if "msgid_plural" in entry else [])]
    said = zip(texts, _translations(entry), strict=True)
    return all(set(PLACEHOLDER.findall(text)) == set(PLACEHOLDER.findall(told)) for text, told in said)
