"""What the commands answered before is what they answer now: every key, word and number of several hundred lines."""

from __future__ import annotations

import json
import math
import os
import platform
import subprocess
import sys
from collections.abc import Iterator
from itertools import zip_longest
from pathlib import Path
from typing import Any

import pytest

from tests.golden.kept import answers, golden

ROOT = Path(__file__).resolve().parent.parent.parent
NEARLY = 1e-9  # other processors round the last digits otherwise


@pytest.mark.parametrize(("command", "least"), [("assess", 600), ("plan", 50), ("timing", 400)])
def test_a_command_answers_as_it_did(command: str, least: int) -> None:
    kept = golden(command)
    assert len(kept) >= least
    now = answers(command, [pair.asked for pair in kept])
    assert len(now) == len(kept)
    told = [
        f"{pair.asked[:200]}: {found}"
        for pair, answer in zip(kept, now, strict=True)
        for found in differences(json.loads(pair.answered), json.loads(answer))
    ]
    assert told == []


def test_a_changed_key_word_order_or_number_is_a_difference() -> None:
    was = {"route": "fix-first", "chances": {"a": 0.25, "b": 0.5}, "line": 3, "sent": [1.0, None]}
    assert list(differences(was, was)) == []
    assert list(differences(was, was | {"chances": {"a": 0.25 + 1e-12, "b": 0.5}})) == []
    for other in (
        was | {"route": "fix first"},
        was | {"chances": {"a": 0.25 + 1e-8, "b": 0.5}},
        was | {"chances": {"b": 0.5, "a": 0.25}},
        was | {"line": 3.0},
        was | {"sent": [None, 1.0]},
        was | {"sent": [1.0]},
        was | {"more": 1},
    ):
        assert list(differences(was, other)), other


def differences(was: Any, now: Any) -> Iterator[str]:
    """Where two answers part. Numbers with a point may do so by next to nothing, all else not at all."""
    for before, after in zip_longest(leaves(was), leaves(now)):
        if before is None or after is None or before[0] != after[0] or not is_alike(before[1], after[1]):
            yield f"{before} is now {after}"


def leaves(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Whatever is no list or object, in its order, with the way to it; an empty list or object too."""
    if isinstance(value, dict | list) and value:
        named = value.items() if isinstance(value, dict) else enumerate(value)
        for name, inside in named:
            yield from leaves(inside, f"{path}.{name}")
    else:
        yield path, value


def is_alike(was: Any, now: Any) -> bool:
    if isinstance(was, float) and isinstance(now, float):
        return math.isclose(was, now, rel_tol=NEARLY, abs_tol=NEARLY)
    return type(was) is type(now) and bool(was == now)


@pytest.mark.skipif(platform.machine() not in ("x86_64", "amd64"), reason="these are kernels of x86-64")
@pytest.mark.parametrize("processor", ["Nehalem", "Haswell"])
def test_another_processor_gives_the_same_answers(processor: str, tmp_path: Path) -> None:
    """OpenBLAS sums in another order on each kind; what is equal but for that must not be told apart by it."""
    kept, file = golden("assess"), tmp_path / "asked.jsonl"
    file.write_text("\n".join(pair.asked for pair in kept) + "\n", "utf-8")
    given = os.environ | {"OPENBLAS_CORETYPE": processor, "DATA": str(tmp_path)}
    command = [sys.executable, "manage.py", "assess", str(file)]
    done = subprocess.run(command, cwd=ROOT, env=given, capture_output=True, text=True, check=False)
    pairs = zip(kept, done.stdout.splitlines(), strict=True)
    told = [found for pair, now in pairs for found in differences(json.loads(pair.answered), json.loads(now))]
    assert told == []
