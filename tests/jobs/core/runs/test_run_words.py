from __future__ import annotations

from jobs.core.runs.air import Air
from jobs.core.runs.reading_a_run import FROM_ROLLERS, FROM_TORQUE, LOGGED
from jobs.core.runs.run_words import (
    correction_sentences,
    how_sentence,
    leaner_jet_sentence,
    mixture_sentence,
    spread_sentence,
)
from tests.factories.run_facts import THIN, USUAL, run


def test_a_corrected_curve_names_standard_factor_and_air():
    first, caveat = correction_sentences([run("A"), run("B"), run("C", air=Air(1010, 25, 0))])
    assert first == (
        "Corrected to SAE J1349, that is to 25 °C and 990 hPa of dry air: "
        "runs A, B times 0.9882 (1000 hPa, 25 °C, 0 % humidity, 1.168 kg/m³); "
        "run C times 0.9766 (1010 hPa, 25 °C, 0 % humidity, 1.180 kg/m³)."
    )
    assert "four-strokes" in caveat


def test_an_uncorrected_curve_says_why():
    said = correction_sentences([run("A", air=THIN), run("B", air=None), run("C")])
    assert said == [
        "Not corrected: shown as measured.",
        "Run A is outside the range of SAE J1349: its factor would be 1.1180, outside 0.93 to 1.07.",
        "The air at run B was not written down.",
    ]
    assert correction_sentences([run(standard="none")]) == ["Not corrected: shown as measured."]


def test_how_the_power_came_about_is_one_sentence():
    given = {"window_s": 0.2, "lost_w": None, "inertia_kg_m2": 6.25}
    end = "smoothed by straight lines over 0.2 s, twice; means of every 50 rpm."
    assert how_sentence(LOGGED, **given) == f"Power as the logger gives it; {end}"
    assert how_sentence(FROM_TORQUE, **given) == f"Power from the logged torque and revs; {end}"
    rollers = how_sentence(FROM_ROLLERS, window_s=0, lost_w=420.0, inertia_kg_m2=6.25)
    assert rollers == (
        "Power from how the rollers gain speed, with an inertia of 6.25 kg·m²; what the run-down lost is added, "
        "0.4 kW at the top; not smoothed; means of every 50 rpm."
    )


def test_one_run_does_not_pretend_to_know_how_far_the_next_would_differ():
    assert "is not known" in spread_sentence([18.0], "hp")
    assert spread_sentence([18.44, 18.0], "hp") == "2 runs with the same things fitted: 18.0 to 18.4 hp at the peak."


def test_a_leaner_mixture_comes_with_its_caution():
    leaner = mixture_sentence(Air(1020, 25, 0), USUAL, name="run A of 3 May")
    assert leaner.startswith("The air is 2.0 % denser than at run A of 3 May: with the same jets about 1.0 % leaner")
    assert "read the plug" in leaner
    richer = mixture_sentence(Air(980, 25, 0), USUAL, name="run A of 3 May")
    assert "2.0 % thinner" in richer
    assert "1.0 % richer" in richer
    assert "seize" not in richer
    assert mixture_sentence(Air(1002, 25, 0), USUAL, name="run A").endswith(
        "the same jets mean about the same mixture."
    )


def test_a_smaller_main_jet_between_two_runs_is_warned_about():
    said = leaner_jet_sentence(run("A", jet="98"), run("B", jet="95"))
    assert said.startswith("Run B has a smaller main jet, 95 in place of 98: leaner. A lean mixture runs hot")
    assert leaner_jet_sentence(run("A", jet="95"), run("B", jet="98")) == ""
