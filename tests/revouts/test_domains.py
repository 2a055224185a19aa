"""Clips of every domain come as the same thing, and are the same after they were kept."""

import numpy as np
import pytest

from tests.revouts import foreign
from tests.revouts.domains import Example, keep, kept, of_others, of_saws
from tests.revouts.saws import voices

KNOWN = {
    "rpm": [1500, 1500, 6000, 6000], "firing": "1101", "lsnr": [3, -4, 9, 9], "held": [0.02, 0.04], "seconds": 0.04,
    "drop_outs": [[0.02, 0.03]], "verdict": "breaks-down", "ceiling_rpm": 6000.0, "idle_rpm": None,
    "fires_per_turn": 1.0,
}  # fmt: skip


def example(truth):
    samples = np.random.default_rng(1).normal(size=80).astype(np.float32)
    return Example("foreign", "break", samples, 1.0, truth, 12.0, None, "wind", "aac", ("breaks-down",))


def test_of_another_hand_only_frames_count_in_which_the_engine_is_heard():
    truth = foreign.truth_of(KNOWN)
    assert truth.firing.tolist() == [True, False, False, True]
    assert (truth.held, truth.drop_outs, truth.idle_rpm) == ((0.02, 0.04), [(0.02, 0.03)], 0.0)


def test_several_verdicts_may_be_right():
    assert foreign.allowed(KNOWN) == ("breaks-down",)
    assert foreign.allowed(KNOWN | {"accept": ["unclear", "revs-out"]}) == ("unclear", "revs-out")
    assert foreign.truth_of(KNOWN | {"rpm": None}) is None


@pytest.mark.parametrize("truth", [None, foreign.truth_of(KNOWN)])
def test_what_was_kept_is_read_again(truth, tmp_path):
    one = example(truth)
    assert keep(iter([one]), tmp_path) == 1
    (again,) = kept(tmp_path)
    assert np.array_equal(again.samples, one.samples)
    assert (again.kind, again.snr_db, again.allowed, again.is_answerable) == ("break", 12.0, ("breaks-down",), True)
    if truth is None:
        assert again.truth is None
    else:
        assert again.truth.firing.dtype == bool
        assert again.truth.firing.tolist() == truth.firing.tolist()
        assert (again.truth.held, again.truth.drop_outs) == (truth.held, truth.drop_outs)


def test_without_sounds_beside_the_project_a_domain_is_empty(tmp_path, monkeypatch):
    monkeypatch.setattr("tests.revouts.foreign.SCRIPT", tmp_path / "none.py")
    monkeypatch.setattr("tests.revouts.saws.BESIDE", tmp_path)
    voices.cache_clear()
    try:
        assert list(of_others(3, 1)) == list(of_saws(3, 1)) == []
    finally:
        voices.cache_clear()
