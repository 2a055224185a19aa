from __future__ import annotations

from string import ascii_uppercase

import pytest

from garage.core.errors import BadInput, Refused
from jobs.core.runs.air import Air
from jobs.core.runs.run_facts import air_of, fitted_of, is_corrected, next_letter, repeats_of
from tests.factories.run_facts import THIN, run


def test_neighbours_with_the_same_things_fitted_repeat_each_other():
    runs = [run("A"), run("B"), run("C", jet="102"), run("D")]
    assert [group.name for group in repeats_of(runs)] == ["runs A, B", "run C", "run D"]
    assert [group.name for group in repeats_of([run("A"), run("B", standard="din")])] == ["run A", "run B"]
    assert repeats_of([]) == []


def test_the_factor_is_one_where_corrected_power_may_not_be_shown():
    assert run().factor == pytest.approx(1.18 * 0.99 - 0.18)
    assert run(air=THIN).factor == run(air=None).factor == run(standard="none").factor == 1
    assert run(air=THIN).correction.why_not
    assert run(standard="none").correction is None


def test_runs_are_corrected_together_or_not_at_all():
    assert is_corrected([run("A"), run("B")])
    for other in (run(air=THIN), run(air=None), run(standard="iso"), run(standard="none")):
        assert not is_corrected([run("A"), other])


def test_letters_go_on_and_end():
    assert next_letter(["A", "C"]) == "B"
    with pytest.raises(Refused, match="26 runs today"):
        next_letter(ascii_uppercase)


def test_the_air_is_written_down_whole_or_not_at_all():
    assert air_of(None, None, None) is None
    assert air_of(1000, 20, 0) == Air(1000, 20, 0)
    for given in ((None, 20, 50), (1000, None, 50), (1000, 20, None)):
        with pytest.raises(BadInput, match="is missing; allowed is all three"):
            air_of(*given)


def test_only_what_is_filled_in_is_kept_of_the_jet_log():
    assert fitted_of({"plug": " 8 ", "main_jet": "98  b", "needle": " ", "colour": "red"}) == {
        "main_jet": "98 b",
        "plug": "8",
    }
    with pytest.raises(BadInput, match=r"^Needle is"):
        fitted_of({"needle": "n" * 31})
