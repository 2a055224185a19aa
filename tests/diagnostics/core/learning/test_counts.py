"""Base rates from closed cards: the beta distribution's own mean, exact recounting, and the truth found again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize

from diagnostics.core.assess import assess
from diagnostics.core.bank.bank import NOTHING_WRONG
from diagnostics.core.bank.reader import read_bank
from diagnostics.core.findings import Case, MachineFacts
from diagnostics.core.learning.counts import ClosedCard, Counts, count, learned_odds, why_not_learned, with_counts
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.small_banks import case_of, small_bank, small_bank_text

BANK = small_bank({"a": 0.2, "b": 0.1}, {"sign": ({"no": 0.9, "yes": 0.1}, {"a": {"yes": 0.8}})})


def closed(*causes: str, **more: bool) -> ClosedCard:
    return ClosedCard(case_of(BANK, {}), frozenset(causes), **more)


def test_no_card_leaves_the_bank_as_it_is() -> None:
    counts = count(BANK, [])
    assert counts.chances == pytest.approx({"a": 0.2, "b": 0.1}, abs=1e-12)
    assert counts.learned == counts.not_learned == 0


def test_counts_and_prior_add_up_by_hand_and_a_card_with_two_causes_counts_for_both() -> None:
    """Mean of a beta distribution, (size × mean + times) / (size + cards); any textbook. 22 cards, two of them both."""
    cards = [closed("a")] * 6 + [closed("b")] * 1 + [closed("a", "b")] * 2 + [closed()] * 13
    counts = count(replace(BANK, equivalent_cards=10.0), cards)
    assert counts.chances["a"] == pytest.approx((10 * 0.2 + 6 + 2) / (10 + 22), abs=1e-12)
    assert counts.chances["b"] == pytest.approx((10 * 0.1 + 1 + 2) / (10 + 22), abs=1e-12)
    assert counts.times == {NOTHING_WRONG: 13, "a": 8, "b": 3}
    assert (counts.learned, counts.not_learned) == (22, 0)


def test_two_causes_on_one_card_teach_the_same_as_on_two_if_as_many_cards_are_clean() -> None:
    apart, together = [closed("a"), closed("b")], [closed("a", "b"), closed()]
    assert count(BANK, apart).chances == count(BANK, together).chances


def test_own_words_and_come_backs_and_faults_the_bank_has_dropped_are_kept_and_not_learned_from() -> None:
    cards = [
        closed("a", came_back=True),
        closed(has_own_words=True),
        closed("a", "b", has_own_words=True),
        closed("a", "gone-from-the-bank"),
    ]
    counts = count(BANK, cards)
    assert (counts.learned, counts.not_learned) == (0, 4)
    assert counts.chances == count(BANK, []).chances


def test_the_rate_learned_is_unbiased_on_drawn_cards_of_which_many_have_two_faults() -> None:
    """Garages drawn from the prior, cards drawn from each: over all of them the posterior mean misses by nothing.

    Without the cards that have two faults it would miss by several standard errors: that is what the rule is for.
    """
    size, cards, garages, rates = 20.0, 60, 400, np.array([0.3, 0.2])
    bank = replace(small_bank({"a": 0.3, "b": 0.2}, {"sign": ({"no": 0.9, "yes": 0.1}, {})}), equivalent_cards=size)
    chance = np.random.default_rng(11)
    missed: dict[str, list[np.ndarray]] = {"all": [], "without two": []}
    for _ in range(garages):
        truth = chance.beta(size * rates, size * (1 - rates))
        drawn = [tuple(np.array(["a", "b"])[chance.random(2) < truth]) for _ in range(cards)]
        for name, kept in (("all", drawn), ("without two", [one for one in drawn if len(one) < 2])):
            learned = count(bank, [closed(*one) for one in kept]).chances
            missed[name].append(np.array([learned["a"], learned["b"]]) - truth)
    error = {name: np.mean(found, axis=0) for name, found in missed.items()}
    standard = np.std(missed["all"], axis=0) / np.sqrt(garages)
    assert np.all(np.abs(error["all"]) < 3 * standard)
    assert np.all(error["without two"] < -3 * standard)


def test_the_order_of_the_cards_makes_no_difference_and_a_correction_leaves_no_trace() -> None:
    points = replace(closed("b"), case=Case("p", MachineFacts(ignition="points"), "set-up", closed().case.costs))
    cards = [closed("a"), points, closed(), closed("b")]
    assert count(BANK, cards).chances == count(BANK, cards[::-1]).chances
    corrected = [closed("b"), *cards[1:]]
    assert count(BANK, corrected).chances == count(BANK, [cards[1], cards[2], closed("b"), closed("b")]).chances


def test_with_factors_it_agrees_with_a_general_optimiser() -> None:
    """SciPy's minimiser on the same posterior, in the logarithm of the odds."""
    prior, times = np.array([0.25, 0.11, 0.02]), np.array([7.0, 2.0, 1.0])
    kinds = [(np.array([1.0, 1.0, 1.0]), 20), (np.array([0.5, 4.0, 1.0]), 9), (np.array([3.0, 0.1, 2.0]), 5)]
    rate = prior / (1 + prior)

    def against(log_odds: np.ndarray) -> float:
        odds = np.exp(log_odds)
        gain = (30 * rate + times) @ log_odds - 30 * np.log(1 + odds).sum()
        return -float(gain - sum(cards * np.log(1 + factors * odds).sum() for factors, cards in kinds))

    reference = minimize(against, np.log(prior), method="BFGS", options={"gtol": 1e-9})
    assert learned_odds(prior, times, kinds, 30) == pytest.approx(np.exp(reference.x), rel=1e-5)


STORY = read_bank(
    small_bank_text({"a": 0.2, "b": 0.1}, {"sign": ({"no": 0.9, "yes": 0.1}, {})})
    + """
[question.changed]
ask = "Changed?"
kind = "several"
nothing = "none"
source = "made for a test"
cost_pence = 1
answers = { jets = "Jets", pipe = "Pipe", none = "Nothing" }
share = { jets = 0.25, pipe = 0.25, none = 0.5 }
[question.changed.times]
jets = { a = 3.0 }
pipe = { a = 5.0 }
"""
)


@pytest.mark.parametrize(
    ("answers", "more", "factor"),
    [
        ({"changed": ("none",)}, {}, 1.0),
        ({"changed": ("jets",)}, {}, 3.0),
        ({"changed": "jets"}, {}, 3.0),
        ({"changed": ("jets", "pipe")}, {}, 15.0),
        ({}, {}, 0.25 * 3 + 0.25 * 5 + 0.5),
        ({"changed": 1.0}, {}, 0.25 * 3 + 0.25 * 5 + 0.5),
        ({"changed": ("jets",), "sign": "yes"}, {"machine": MachineFacts(ignition="points")}, 21.0),
        ({"changed": ("none",)}, {"machine": MachineFacts(ignition="points"), "booked": "power-run"}, 77.0),
        ({"changed": ("none",)}, {"machine": MachineFacts(fed_by="battery")}, 1.0),
    ],
)
def test_a_card_counts_by_the_factors_of_its_machine_and_its_story(answers, more, factor) -> None:
    """Three cards of a and seven of nothing wrong, and a prior too small to count: there the odds are 3 to 7,
    and the base odds are those less the factor.
    """
    faults = (replace(STORY.faults[0], times={"points": 7.0, "power-run": 11.0}), STORY.faults[1])
    bank = replace(STORY, faults=faults, equivalent_cards=1e-9)
    case = case_of(bank, answers, **more)
    cards = [ClosedCard(case, frozenset("a"))] * 3 + [ClosedCard(case, frozenset())] * 7
    odds = count(bank, cards).chances["a"] / (1 - count(bank, cards).chances["a"])
    assert odds == pytest.approx(3 / 7 / factor, rel=1e-6)


def test_learned_chances_stay_within_what_a_bank_allows() -> None:
    free = replace(BANK, equivalent_cards=1e-9)
    counts = count(free, [closed("a")] * 100)
    assert (counts.chances["a"], counts.chances["b"]) == (0.9, 1e-6)
    assert (counts.edition, counts.learned) == (BANK.edition, 100)


def test_each_reason_not_to_learn_has_its_words_and_the_gravest_is_said() -> None:
    known = frozenset({"a", "b"})
    assert why_not_learned(frozenset(), known) == why_not_learned(frozenset({"a"}), known) == ""
    assert why_not_learned(frozenset({"c"}), known) == "a cause the bank doesn’t know"
    assert why_not_learned(frozenset(), known, has_own_words=True) == "a cause in the mechanic’s own words"
    assert why_not_learned(frozenset({"a"}), known, has_own_words=True) == "a cause in the mechanic’s own words"
    assert why_not_learned(frozenset({"a", "b"}), known) == ""
    assert why_not_learned(frozenset({"a", "b"}), known, came_back=True) == "it came back with the same trouble"


def test_learned_chances_replace_the_bank_s_own_and_nothing_else() -> None:
    learned = with_counts(BANK, Counts("small", {}, {"a": 0.3}, 1, 0))
    assert [fault.chance for fault in learned.faults] == [0.3, 0.1]
    assert learned.edition == BANK.edition
    assert learned.steps is BANK.steps


def test_a_garage_unlike_the_bank_is_learned() -> None:
    """Cards of machines drawn from a bank with five times as many bad units: the base rate comes near the true one."""
    bank = the_bank()
    truth = {"spark-module": 0.16, "main-jet-rich": 0.06}
    true_bank = replace(bank, faults=tuple(replace(f, chance=truth.get(f.id, f.chance)) for f in bank.faults))
    chance = np.random.default_rng(3)
    cards = [ClosedCard(one.case, one.faults) for one in (draw_sheet(true_bank, chance) for _ in range(2000))]
    counts = count(bank, cards)
    assert (counts.learned, counts.not_learned) == (2000, 0)
    assert counts.chances["spark-module"] == pytest.approx(0.16, abs=0.03)
    assert counts.chances["main-jet-rich"] == pytest.approx(0.06, abs=0.035)


def test_the_judgement_takes_the_learned_bank_and_keeps_its_edition() -> None:
    bank = the_bank()
    case = case_of(bank, {"rev_out": "ceiling"})
    units = [ClosedCard(case_of(bank, {}), frozenset({"spark-module"}))] * 40
    learned = with_counts(bank, count(bank, units))
    before, after = assess(bank, case), assess(learned, case)
    assert after.chances["spark-module"] > before.chances["spark-module"]
    assert after.edition == bank.edition
