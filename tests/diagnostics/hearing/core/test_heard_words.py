"""What was heard, said: by the manual of `listen`, and in one sentence an owner can read."""

import pytest

from diagnostics.hearing.core.heard import HeardReason
from diagnostics.hearing.core.heard_words import listen_line, reason_words
from tests.factories.diagnostics import heard

KEYS = (
    *("clip", "seconds", "trace", "idle_rpm", "peak_rpm", "held", "verdict", "ceiling_rpm", "drop_outs", "confidence"),
    "reason",
)


def test_the_line_has_the_keys_of_the_manual_in_their_order_and_no_other():
    line = listen_line("a.m4a", heard())
    assert tuple(line) == KEYS
    assert set(line["trace"]) == {"t0_s", "step_s", "rpm"}
    assert (line["clip"], line["held"], line["drop_outs"]) == ("a.m4a", [1.5, 6.0], [[6.0, 6.06]])


@pytest.mark.parametrize("reason", HeardReason)
def test_a_reason_is_one_sentence(reason):
    said = reason_words(heard(reason=reason))
    assert said.endswith(".")
    assert ". " not in said


@pytest.mark.parametrize(
    ("drop_outs", "told"), [((), "again and again"), (((6.0, 6.1),), "1 time "), (((6.0, 6.1), (6.2, 6.3)), "2 times")]
)
def test_a_breakdown_says_how_often_firing_fails(drop_outs, told):
    assert told in reason_words(heard(reason=HeardReason.FAILS, drop_outs=drop_outs))
