"""What we learned, sentence by sentence: figures by hand, each verdict at its limits."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from diagnostics.core.bank.bank import Fault
from diagnostics.core.learning.balance import Balance, Sum
from diagnostics.core.learning.calibration import Bin, Score, Seen
from diagnostics.core.learning.learned_words import (
    band_words,
    bands_alt,
    chances_sentence,
    faults_alt,
    interval_words,
    minutes_sentence,
    percent,
    score_verdict,
    scored_sentence,
    seen_verdict,
    short_name,
)
from diagnostics.core.learning.scores import Scored

FITS = Bin(20, 7, 0.3, 0.2, 0.5, lowest=0.2, highest=0.4)
SEEN = Seen(20, 7, 0.3, 0.2, 0.5)
SAME = Scored("spoilt", Score(20, 7, 0.2, 0.3, 0.4321, 0.6543, 0.1), 0.0, -0.1, 0.1)
TOO_FEW = "too few to say"


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0, "0%"),
        (0.0004, "0.0%"),
        (0.005, "0.5%"),
        (0.0994, "9.9%"),
        (math.nextafter(0.0995, 0), "10%"),
        (0.5, "50%"),
        (1.0, "100%"),
    ],
)
def test_a_share_below_ten_per_cent_has_one_decimal(share: float, words: str) -> None:
    assert percent(share) == words


def test_an_interval_and_a_band_have_one_sign_of_per_cent() -> None:
    assert interval_words(0.25, 1) == "25 to 100%"
    assert band_words(FITS) == "20 to 40%"


@pytest.mark.parametrize(
    ("mean", "verdict"),
    [
        (0.19, "more often than predicted"),
        (0.2, "as predicted"),
        (0.5, "as predicted"),
        (0.51, "less often than predicted"),
    ],
)
def test_a_band_and_a_fault_are_as_predicted_within_their_interval(mean: float, verdict: str) -> None:
    assert seen_verdict(replace(FITS, predicted=mean)) == verdict
    assert seen_verdict(replace(SEEN, predicted=mean)) == verdict
    assert seen_verdict(replace(SEEN, predicted=mean, many=19)) == TOO_FEW


@pytest.mark.parametrize(
    ("low", "high", "verdict", "how"),
    [
        (0.01, 0.1, "better than the base rate", "better"),
        (0.0, 0.1, "no better than the base rate, so far", "so far no better"),
        (-0.1, 0.0, "no better than the base rate, so far", "so far no better"),
        (-0.1, -0.01, "worse than the base rate", "worse"),
    ],
)
def test_chances_are_better_or_worse_only_if_the_whole_interval_says_so(
    low: float, high: float, verdict: str, how: str
) -> None:
    one = replace(SAME, low=low, high=high)
    assert score_verdict(one) == verdict
    assert chances_sentence([replace(one, subject="ignition"), one]) == (
        f"Spoilt visits were predicted {how} than by always giving the base rate: log loss 0.432 against 0.654."
    )


def test_too_few_visits_say_how_many_there_are_so_far() -> None:
    few = replace(SAME, figures=replace(SAME.figures, many=19))
    assert score_verdict(few) == TOO_FEW
    needed = "It takes 20 visits booked for the rollers to say how right the chances were: so far"
    assert chances_sentence([few]) == f"{needed} 19."
    assert chances_sentence([replace(SAME, subject="ignition")]) == f"{needed} 0."


@pytest.mark.parametrize(
    ("say", "name"),
    [
        ("the stator plate (with its packers): moved", "stator plate"),
        ("a main jet: too large", "main jet"),
        ("an air leak (crankcase) (or intake)", "air leak"),
        ("worn reeds: one: two", "worn reeds"),
    ],
)
def test_a_fault_s_short_name_ends_at_the_first_bracket_or_colon_and_has_no_article(say: str, name: str) -> None:
    assert short_name(Fault("x", "ignition", say, frozenset(), False, 0.1, {})) == name


def test_the_picture_of_the_bands_is_told_band_by_band() -> None:
    few = replace(FITS, lowest=0.4, highest=0.6, many=19)
    assert bands_alt("ignition", [FITS, few]) == (
        "Predicted against observed, ignition. 20 to 40% predicted: 35% observed, as predicted; "
        "40 to 60% predicted: too few to say."
    )
    assert bands_alt("spoilt", [few]).startswith("Predicted against observed, a fault that spoils the visit. ")


def test_the_picture_of_the_faults_names_those_outside_their_interval() -> None:
    rows = [("reeds", SEEN), ("spark", replace(SEEN, predicted=0.1)), ("clutch", replace(SEEN, predicted=0.6))]
    assert faults_alt(rows) == (
        "3 faults, predicted against observed. Outside their interval: "
        "spark more often than predicted, clutch less often than predicted."
    )
    assert faults_alt(rows[:1]) == "1 faults, predicted against observed. Outside their interval: none."


def test_one_closed_card_is_said_as_one() -> None:
    says = "can be compared with a judgement made before the machine came in."
    assert scored_sentence(1, 0) == f"0 of 1 closed card {says}"
    assert scored_sentence(2, 1) == f"1 of 2 closed cards {says}"


def balance(saved: int, wasted: int, for_nothing: int) -> Balance:
    none = Sum(0, 0, 0)
    return Balance(Sum(saved, 1350, 0), Sum(wasted, 1080, 0), none, Sum(for_nothing, 0, 0), none, 30, 0)


def test_the_roller_minutes_saved_and_wasted_are_said_for_one_visit_and_for_several() -> None:
    assert minutes_sentence(balance(15, 12, 0)) == (
        "15 visits went to the bench before the rollers and had a fault that would have spoilt them: "
        "1,350 roller minutes saved. 12 visits went on the rollers and were spoilt: 1,080 minutes wasted. "
        "No visit went to the bench first for nothing."
    )
    assert minutes_sentence(balance(1, 1, 1)) == (
        "1 visit went to the bench before the rollers and had a fault that would have spoilt it: "
        "1,350 roller minutes saved. 1 visit went on the rollers and was spoilt: 1,080 minutes wasted. "
        "1 visit went to the bench first for nothing."
    )
