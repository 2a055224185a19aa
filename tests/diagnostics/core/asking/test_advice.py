"""Which visit kind is advised: common practice, no source; do not run and fix first as in the manual of `assess`."""

import pytest

from diagnostics.core.asking.advice import advise, is_passed_over
from diagnostics.reads.bank import the_bank
from garage.core.errors import BadInput

FINE = {"nipped": "no", "pinking": "no", "changed": ["nothing"], "rev_out": "clean"}


@pytest.mark.parametrize(
    ("answers", "book", "do_not_run"),
    [
        (FINE, "power-run", False),
        (FINE | {"nipped": "yes"}, "bench", True),
        (FINE | {"pinking": "yes"}, "bench", True),
        (FINE | {"changed": ["jets-smaller", "exhaust"]}, "bench", True),
        (FINE | {"rev_out": "ceiling"}, "bench", False),
        (FINE | {"rev_out": "dies"}, "bench", False),
        (FINE | {"rev_out": "smoky"}, "set-up", False),
        (FINE | {"changed": ["exhaust"]}, "set-up", False),
        (dict.fromkeys(FINE, "unsure"), "bench", False),
        ({}, "bench", False),
    ],
)
def test_the_advice_follows_from_the_answers(answers, book, do_not_run):
    advice = advise(the_bank(), answers)
    assert (advice.book, advice.do_not_run) == (book, do_not_run)
    assert advice.says


def test_an_invalid_answer_is_refused():
    with pytest.raises(BadInput, match="nipped"):
        advise(the_bank(), {"nipped": "perhaps"})


def test_the_rev_out_is_not_asked_for_of_an_engine_that_nipped_up_or_rattles():
    assert is_passed_over("rev_out", {"nipped": "yes"})
    assert is_passed_over("rev_out", {"pinking": "yes"})
    assert not is_passed_over("rev_out", {"nipped": "no", "pinking": "unsure"})
