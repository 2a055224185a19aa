"""Clips are heard as before, within what the arithmetic of another machine may change."""

import pytest

from tests.revouts.kept import heard_in, kept

EXACT = ("verdict", "reason")
NEAR = ("seconds", "idle_rpm", "peak_rpm", "held", "ceiling_rpm", "confidence")


@pytest.mark.parametrize(
    ("plan", "kind", "number", "before"), [pytest.param(*each, id=f"{each[0].name}-{each[1]}") for each in kept()]
)
def test_a_clip_is_heard_as_it_was(plan, kind, number, before):
    heard = heard_in(plan, kind, number)
    assert {key: heard[key] for key in EXACT} == {key: before[key] for key in EXACT}
    for key in NEAR:
        assert heard[key] == (before[key] and pytest.approx(before[key], rel=1e-4, abs=1e-3)), key
    for gap, then in zip(heard["drop_outs"], before["drop_outs"], strict=True):
        assert gap == pytest.approx(then, abs=2e-3)
    assert {**heard["trace"], "rpm": None} == {**before["trace"], "rpm": None}
    for rpm, then in zip(heard["trace"]["rpm"], before["trace"]["rpm"], strict=True):
        assert rpm == (then and pytest.approx(then, rel=1e-4))
