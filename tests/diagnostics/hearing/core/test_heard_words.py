"""What was heard, said: by the manual of `listen`, and in one sentence an owner can read."""

import pytest

from diagnostics.hearing.core.heard import HeardReason, to_json
from diagnostics.hearing.core.heard_words import (
    ceiling_words,
    listen_line,
    reason_words,
    right_words,
    rpm_words,
    sure_words,
    trouble_words,
    verdict_words,
)
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


def test_a_breakdown_is_one_sentence_with_the_number_of_its_cuts():
    def said(count):
        return reason_words(heard(reason=HeardReason.FAILS, drop_outs=((6.0, 6.1),) * count))

    assert said(1) == "The engine hits a ceiling: it cuts out 1 time while the throttle is held open."
    assert said(3) == "The engine hits a ceiling: it cuts out 3 times while the throttle is held open."
    assert said(0) == (
        "The engine hits a ceiling: it cuts out again and again, for a moment each time, "
        "while the throttle is held open."
    )


def test_the_line_has_what_was_heard_and_the_reason_in_words():
    whole = heard()
    line = listen_line("a.m4a", whole)
    kept = to_json(whole)
    assert line == {"clip": "a.m4a", "reason": reason_words(whole)} | {key: kept[key] for key in KEYS[1:-1]}


def test_a_verdict_is_said_in_words_and_one_that_is_unknown_as_it_is():
    words = [verdict_words(verdict) for verdict in ("revs-out", "breaks-down", "unclear", "other")]
    assert words == ["it revs out", "it breaks down", "unclear", "other"]


def test_a_ceiling_is_said_to_fifty_rpm_and_none_not_at_all():
    assert ceiling_words(7382.0) == " at about 7,400 rpm"
    assert ceiling_words(None) == ""
    assert [rpm_words(rpm) for rpm in (974.0, 980.0, 12024.9, 12026.0)] == [
        "950 rpm",
        "1,000 rpm",
        "12,000 rpm",
        "12,050 rpm",
    ]


def test_how_sure_a_verdict_is_is_said_by_the_nearest_of_the_shares_that_have_a_name():
    nearest = {0.0: "one in two", 0.66: "two in three", 0.82: "four in five", 0.97: "97 in 100", 1.0: "99 in 100"}
    assert {share: sure_words(share) for share in nearest} == nearest
    # Midway between two the more careful one is said: 0.5 and 1.0 are exact, 0.625 lies nearest to 0.6.
    assert sure_words(0.625) == "six in ten"
    assert sure_words(0.98) == "97 in 100"
    assert right_words(0.9) == "Of clips like this one, nine in ten are heard correctly."


def test_trouble_is_told_of_this_clip_and_other_sentences_stay_as_they_are():
    assert trouble_words("clip holds no sound.") == "This clip holds no sound."
    assert trouble_words("The decoder crashed.") == "The decoder crashed."
