"""Kept sums: the figures and base rates made of them are those of all visits, and a visit comes out as it went in."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from diagnostics.core.findings import Costs
from diagnostics.core.learning.counts import ClosedCard, count, story_of
from diagnostics.core.learning.figures import counted_anew
from diagnostics.core.learning.kept_figures import counts_from, figures_of
from diagnostics.core.learning.sums import adds, story_words
from diagnostics.reads.bank import the_bank
from diagnostics.reads.learned_check import first_difference
from tests.diagnostics.core.closed_examples import closed, judged_by
from tests.diagnostics.core.drawn_sheets import draw_sheet

BANK = the_bank()
COSTS = Costs(slot_lost=9000, bench_check=1500, call=300, bench_minute=90)
ROUTES = ("roller-ready", "fix-first", "phone-first", "do-not-run")


@pytest.fixture(scope="module")
def drawn():
    """Visits with their stories and cards: judged or not, of every route, some with own words or come back."""
    chance, found = np.random.default_rng(17), []
    for nth in range(40):
        sheet = draw_sheet(BANK, chance)
        visit = judged_by(BANK, sheet.case, sheet.faults)
        given = {
            "taken": ROUTES[nth % 4],
            "ran": nth % 3 > 0,
            "has_own_words": nth % 11 == 0,
            "came_back": nth % 13 == 0,
            "roller_minutes": 0 if nth % 7 == 0 else 90,
            "judged": None if nth % 5 == 0 else replace(visit.judged, route=ROUTES[nth % 4]),
        }
        visit = replace(visit, **given)
        card = ClosedCard(sheet.case, visit.causes, visit.has_own_words, visit.came_back)
        found.append((visit, story_words(story_of(BANK, sheet.case)), card))
    return found


def summed(drawn):
    sums = Counter()
    for visit, story, _ in drawn:
        sums.update(adds(BANK, visit, story))
    return sums


@pytest.mark.parametrize("many", [0, 1, 2, 40])
def test_the_figures_of_the_sums_are_those_of_all_visits(drawn, many):
    visits = [visit for visit, *_ in drawn[:many]]
    assert first_difference(figures_of(BANK, summed(drawn[:many]), COSTS), counted_anew(BANK, visits, COSTS)) == ""


def test_the_base_rates_of_the_sums_are_those_of_all_cards_bit_by_bit(drawn):
    assert counts_from(BANK, summed(drawn)) == count(BANK, [card for *_, card in drawn])


def test_the_order_makes_no_difference_to_the_last_digit(drawn):
    assert summed(drawn) == summed(drawn[::-1])


def test_what_is_taken_out_leaves_what_was_there_before(drawn):
    sums = summed(drawn)
    for visit, story, _ in drawn[10:]:
        sums.subtract(adds(BANK, visit, story))
    assert +sums == +summed(drawn[:10])


def test_twin_a_figure_that_is_off_is_named(drawn):
    visits = [visit for visit, *_ in drawn]
    sums = summed(drawn)
    sums["balance/saved/minutes"] += 5
    off = figures_of(BANK, sums, COSTS)
    assert first_difference(off, counted_anew(BANK, visits, COSTS)) == "figures.balance.saved.minutes"


def test_a_cause_that_the_bank_does_not_know_is_closed_and_not_learned():
    assert adds(BANK, closed("gone-from-the-bank"), "[]") == {"closed": 1, "rollers": 1, "not_learned": 1}
