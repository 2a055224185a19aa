"""README and DEVELOPERS.md say what there is: settings, commands, targets."""

import ast
import re

import pytest

from tests.rules.tree import ROOT, parsed, room_files

OF_THE_MAKEFILE = {"PORT", "HOST", "DEMO", "PYTHON", "PROXY"}  # make hands them on; settings never see them


def settings_read() -> set[str]:
    """The variables that settings.py reads: env.str("NAME", …) and the like."""
    return {
        node.args[0].value
        for node in ast.walk(parsed(ROOT / "garage" / "settings.py"))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and isinstance(node.func.value, ast.Name)
        and node.func.value.id == "env"
    }


def documented() -> set[str]:
    """The first cells of the rows of README's tables that hold a variable's name in backquotes."""
    return set(
        re.findall(r"^\| *`([A-Z][A-Z_]+)=?` *\|", (ROOT / "README.md").read_text(encoding="utf-8"), re.MULTILINE)
    )


def test_the_settings_are_found_by_this_test():
    assert {"DATA", "SITE_URL", "DATABASE_URL", "BROKER_URL", "EMAIL_URL"} <= settings_read()


def test_the_readme_lists_each_variable_and_no_other():
    assert documented() == settings_read() | OF_THE_MAKEFILE


def test_every_variable_of_the_makefile_is_documented():
    named = set(re.findall(r"^([A-Z_]+) \?=", (ROOT / "Makefile").read_text(), re.MULTILINE))
    assert named <= documented()


@pytest.mark.parametrize("command", sorted(path.stem for path in room_files("commands") if path.stem != "__init__"))
def test_every_command_is_named_in_the_readme_or_for_developers(command):
    papers = "".join((ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md"))
    assert re.search(rf"\b{command}\b", papers)


def test_every_make_target_that_the_papers_name_is_there():
    targets = set(re.findall(r"^([a-z-]+):", (ROOT / "Makefile").read_text(), re.MULTILINE))
    papers = "".join((ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md"))
    assert set(re.findall(r"`make ([a-z-]+)", papers)) <= targets


def test_every_file_that_the_papers_name_is_there():
    """Addresses in backquotes that begin with a folder of the project; a blank in angle brackets is none."""
    papers = "".join((ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md"))
    top = "garage|diagnostics|jobs|templates|tests|static|requirements|\\.ci"
    named = set(re.findall(rf"`((?:{top})/[^`<* ]*)`", papers))
    assert len(named) > 30
    assert sorted(name for name in named if not (ROOT / name).exists()) == []
