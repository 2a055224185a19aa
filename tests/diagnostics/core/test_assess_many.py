"""Cases judged together: each comes out as it would alone, to the last bit."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from diagnostics.core.assess import assess, assess_many
from diagnostics.core.findings import Case, ClipVerdict
from diagnostics.core.judging.cells import AT_ONCE
from diagnostics.core.judging.judgement import Judgement
from diagnostics.core.judging.judgement_json import to_json
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.drawn_sheets import draw_sheet

HEARD = (None, ClipVerdict("breaks-down", 0.8, 9000.0), ClipVerdict("revs-out", 0.9), ClipVerdict("unclear", 0.3))


def drawn(number: int, seed: int) -> list[Case]:
    """Sheets of all kinds: whole and half-filled, with strobe readings and clips, several changes, for the bench."""
    chance, cases = np.random.default_rng(seed), []
    for place in range(number):
        case = draw_sheet(the_bank(), chance).case
        answers = {q: answer for q, answer in case.answers.items() if chance.random() < (1.0, 0.5, 0.1)[place % 3]}
        if place % 4 == 1:
            answers |= {"strobe_idle": round(float(chance.uniform(12, 22)), 1), "changed": ("jets-bigger", "exhaust")}
        machine = replace(case.machine, spec_btdc=17.0, design_rpm=9500.0) if place % 2 else case.machine
        booked = "bench" if place % 7 == 6 else case.booked
        cases.append(replace(case, answers=answers, machine=machine, booked=booked, heard=HEARD[place % 5 % 4]))
    return cases


def bits(judgement: Judgement) -> str:
    """Everything of it, every double to its last bit."""
    return json.dumps(to_json(judgement)) + repr(judgement)


@pytest.mark.parametrize("seed", range(4))
def test_a_case_is_judged_the_same_alone_and_in_any_batch(seed: int) -> None:
    bank, chance = the_bank(), np.random.default_rng(seed)
    cases = drawn(40, seed)
    alone = {id(case): bits(assess(bank, case)) for case in cases}
    for size in (2, AT_ONCE - 1, AT_ONCE, AT_ONCE + 1, len(cases)):
        some = [cases[place] for place in chance.permutation(len(cases))[:size]]
        assert [bits(judged) for judged in assess_many(bank, some)] == [alone[id(case)] for case in some]


def test_a_case_twice_in_one_batch_is_judged_the_same() -> None:
    [case] = drawn(1, 9)
    assert len({bits(judged) for judged in assess_many(the_bank(), [case] * (2 * AT_ONCE + 3))}) == 1


def test_no_case_is_no_judgement() -> None:
    assert assess_many(the_bank(), []) == []
