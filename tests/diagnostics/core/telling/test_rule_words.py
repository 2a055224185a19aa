"""What a do-not-run rule means: every rule has a sentence, and none weighs chances."""

import pytest

from diagnostics.core.telling.rule_words import STAYS_OFF, rule_means
from tests.diagnostics.core.telling.judged import judged


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ({"pinking": "yes"}, "it can hole a piston"),
        ({"nipped": "yes"}, "grips again under load"),
        ({"plug": "speckled"}, "it has already begun to melt"),
        ({"strobe_idle": 14, "strobe_peak": 19.5}, "overheats the piston"),
        ({"fuel": "wrong-mix"}, "piston and bearings run dry"),
        ({"plug": "white", "changed": ["jets-smaller"]}, "Two signs of running lean"),
        ({"falls_back": "hangs", "trouble": "runs-hot"}, "Two signs of running lean"),
        ({"fuel_flow": "weak", "half_choke": "better", "where": "top"}, "Two signs of running lean"),
    ],
)
def test_each_rule_says_what_it_means_and_that_it_stays_off_the_rollers(answers, words):
    judgement = judged(**answers)
    assert judgement.route == "do-not-run"
    said = rule_means(judgement)
    assert len(said) == 2
    assert words in said[0]
    assert said[1] == STAYS_OFF


def test_two_rules_say_both_and_the_way_on_once():
    assert len(rule_means(judged(pinking="yes", nipped="yes"))) == 3


def test_without_a_rule_there_is_nothing_to_say():
    assert rule_means(judged(rev_out="ceiling")) == ()


def test_a_rule_decides_only_where_neither_cost_nor_a_plain_case_did():
    assert judged(pinking="yes").is_by_a_rule
    assert not judged(rev_out="ceiling").is_by_a_rule
    assert not judged(booked="bench").is_by_a_rule
