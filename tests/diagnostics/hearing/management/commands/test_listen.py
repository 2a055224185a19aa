"""`manage.py listen`: an object a clip as its manual says, and the rules that all four commands keep."""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from django.core.management import CommandError, call_command

from tests.diagnostics import absurd_clips
from tests.revouts.codecs import suffix
from tests.revouts.sets import CHOOSE, clip, quiet_ones

pytestmark = pytest.mark.long

ROOT = Path(__file__).resolve().parents[5]
KEYS = {
    *(
        "clip",
        "seconds",
        "trace",
        "idle_rpm",
        "peak_rpm",
        "held",
        "verdict",
        "ceiling_rpm",
        "drop_outs",
        "confidence",
        "reason",
    ),
}


def started(*arguments, given=b""):
    done = subprocess.run(
        [sys.executable, "manage.py", "listen", *arguments], cwd=ROOT, input=given, capture_output=True, check=False
    )
    return done, [json.loads(line) for line in done.stdout.splitlines()]


@pytest.fixture(scope="module")
def paths(tmp_path_factory):
    """A clip of a healthy single and one of a failing ignition, as files."""
    folder = tmp_path_factory.mktemp("clips")
    written = []
    for kind in ("healthy", "breaks"):
        made = clear_clip(kind)
        path = folder / f"{kind}.{suffix(made.codec)}"
        path.write_bytes(made.file)
        written.append(str(path))
    return written


def clear_clip(kind):
    """The first of the set that has a single-cylinder two-stroke and little noise."""
    for number in quiet_ones(CHOOSE, kind, 20):
        made = clip(CHOOSE, kind, number)
        if made.fires_per_turn == 1:
            return made
    raise AssertionError("none of twenty")


def test_a_clip_gets_every_key_of_the_manual(paths):
    done, (healthy, failing) = started(*paths)
    assert (done.returncode, done.stderr) == (0, b"")
    assert set(healthy) == set(failing) == KEYS
    assert [healthy["clip"], failing["clip"]] == paths
    assert (healthy["verdict"], healthy["ceiling_rpm"], healthy["drop_outs"]) == ("revs-out", None, [])
    assert failing["verdict"] == "breaks-down"
    assert failing["ceiling_rpm"] == pytest.approx(clear_clip("breaks").truth.ceiling_rpm, rel=0.03)
    assert all(failing["held"][0] <= start < end <= failing["held"][1] + 0.05 for start, end in failing["drop_outs"])
    assert 0 < healthy["trace"]["step_s"] <= 0.05
    assert len(healthy["trace"]["rpm"]) * healthy["trace"]["step_s"] == pytest.approx(healthy["seconds"], abs=0.05)
    assert 0 <= healthy["confidence"] <= 1


def test_the_same_clip_gives_the_same_bytes(paths):
    once, again = (started("-", given=f"{paths[0]}\n{paths[0]}\n".encode())[0].stdout for _ in range(2))
    assert once == again
    assert once.splitlines()[0] == once.splitlines()[1]


def test_a_wrong_clip_gets_an_error_in_its_place_and_the_stream_goes_on(paths, tmp_path):
    done, answers = started(str(tmp_path), paths[0], str(tmp_path / "none.m4a"))
    assert [set(answer) == {"error", "line", "clip"} for answer in answers] == [True, False, True]
    assert [answers[0]["line"], answers[2]["line"]] == [1, 3]
    assert (done.returncode, done.stderr) == (1, b"")


def test_absurd_headers_each_give_an_object_or_one_error_and_the_stream_goes_on(paths, tmp_path):
    named = []
    sound = 0.2 * np.random.default_rng(3).standard_normal(absurd_clips.MADE_HZ)
    for number, (_, ending, content) in enumerate(absurd_clips.named(sound)):
        named.append(str(tmp_path / f"{number}.{ending}"))
        Path(named[-1]).write_bytes(content)
    done, answers = started("-", given="\n".join([*named, paths[0]]).encode())
    assert (done.returncode, done.stderr) == (1, b"")
    assert [answer["clip"] for answer in answers] == [*named, paths[0]]
    for answer in answers[:-1]:
        assert set(answer) == {"error", "line", "clip"} or answer["verdict"] == "unclear"
        assert answer.get("error", ".").endswith(".")
        assert "program failed" not in answer.get("error", "")
    assert answers[-1]["verdict"] == "revs-out"


def test_paths_come_a_line_each_whatever_their_bytes():
    done, answers = started("-", given=b"\xef\xbb\xbfone.wav\r\n\n\xff.wav\n")
    assert [(answer["clip"], answer["line"]) for answer in answers] == [("one.wav", 1), ("\udcff.wav", 2)]
    assert (done.returncode, done.stderr) == (1, b"")


def test_an_empty_list_gives_nothing_and_status_0():
    done, answers = started("-")
    assert (answers, done.returncode, done.stderr) == ([], 0, b"")


def test_firings_that_cannot_be_end_it_with_one_sentence():
    done, answers = started("a.wav", "--fires-per-turn", "nan")
    assert answers == []
    assert done.returncode == 2
    assert b"allowed is a number above 0" in done.stderr
    assert b"Traceback" not in done.stderr


@pytest.mark.parametrize("firings", ["nan", "0", "-1", "inf", "many", "12.1"])
def test_firings_that_cannot_be_are_refused(firings):
    with pytest.raises(CommandError, match=r"allowed is a number above 0"):
        call_command("listen", "a.wav", f"--fires-per-turn={firings}")
