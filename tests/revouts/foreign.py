"""Reads the clips of a generator by another hand, where its script lies beside the project. Nothing of it is kept here.

Its truth has no single firings, so at_s and fired are empty.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from diagnostics.hearing.decoding.decode_child import decoded
from tests.revouts.engine import Truth

BESIDE = Path(__file__).resolve().parents[3] / "shared" / "sounds"
SCRIPT = BESIDE / "foreign" / "make_clips.py"


def clips(count: int, seed: int) -> Iterator[tuple[dict[str, Any], np.ndarray]]:
    """What is known of each clip, and its samples at RATE_HZ. None where the script is not there."""
    if not SCRIPT.exists():
        return
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, str(SCRIPT), folder, "--n", str(count), "--seed", str(seed), "--jobs", "1"]
        subprocess.run(command, check=True, capture_output=True)
        yield from clips_in(Path(folder))


def clips_in(folder: Path) -> Iterator[tuple[dict[str, Any], np.ndarray]]:
    for line in (folder / "truth.jsonl").read_text(encoding="utf-8").splitlines():
        known = json.loads(line)
        yield known, decoded(str(folder / "clips" / known["clip"]))


def allowed(known: dict[str, Any]) -> tuple[str, ...]:
    return tuple(known.get("accept") or [known["verdict"]])


def truth_of(known: dict[str, Any]) -> Truth | None:
    """The truth in our terms. As its README has it, only frames count in which the noise is not louder."""
    if known["rpm"] is None:
        return None
    firing = np.frombuffer(known["firing"].encode(), np.uint8) == ord("1")
    if known.get("lsnr"):
        firing = firing & (np.array(known["lsnr"]) >= 0)
    return Truth(
        seconds=known["seconds"],
        rpm=np.array(known["rpm"], float),
        firing=firing,
        held=known["held"] and tuple(known["held"]),
        drop_outs=[tuple(gap) for gap in known["drop_outs"]],
        verdict=known["verdict"],
        ceiling_rpm=known["ceiling_rpm"],
        idle_rpm=known["idle_rpm"] or 0.0,
        fires_per_turn=known["fires_per_turn"],
        at_s=np.zeros(0),
        fired=np.zeros(0, bool),
        even=False,
    )
