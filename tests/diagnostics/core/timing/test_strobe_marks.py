"""Readings judged against what is known of the machine, and told in words."""

import pytest

from diagnostics.core.findings import MachineFacts
from diagnostics.core.timing.strobe_marks import drift_in_words, judge_marks, marks_in_words
from garage.core.errors import BadInput

ADVANCING = MachineFacts(spec_btdc=10.0, spec_curve="advancing", curve_deg=18.0)


def test_without_a_spec_the_first_reading_replaces_it_and_only_the_drift_is_judged():
    marks = judge_marks(MachineFacts(), [(9000, 25.5), (1400, 25)])
    assert (marks.judged.verdict, marks.is_spec_known) == ("in-spec", False)
    assert judge_marks(MachineFacts(), [(9000, 26.1), (1400, 25)]).judged.verdict == "advances"
    assert "taken as spec: 25°" in marks_in_words(marks)


def test_a_design_that_advances_is_measured_along_its_own_curve():
    marks = judge_marks(ADVANCING, [(1000, 10), (5000, 19.5), (9000, 28)])
    assert [reading.spec_deg for reading in marks.judged.readings] == [10, 19, 28]  # halfway up, half of the 18
    assert [reading.off_deg for reading in marks.judged.readings] == [0, 0.5, 0]
    assert marks.judged.verdict == "in-spec"
    assert drift_in_words(marks) == "From tickover to peak it advances 18°. By design it should advance 18°."


@pytest.mark.parametrize(
    ("peak", "said"),
    [(17, "does not move"), (16.9, "retards 0.1°"), (17.1, "advances 0.1°")],
)
def test_the_drift_is_shown_without_binary_rounding_errors(peak, said):
    assert drift_in_words(judge_marks(MachineFacts(spec_btdc=17.0), [(1400, 17), (9000, peak)])) == (
        f"From tickover to peak it {said}."
    )


def test_a_curve_of_unknown_size_is_not_judged():
    with pytest.raises(BadInput, match="timing change"):
        judge_marks(MachineFacts(spec_btdc=17.0, spec_curve="retarding"), [(1400, 17), (9000, 10)])


def test_a_size_left_over_from_another_curve_does_not_bend_a_fixed_one():
    marks = judge_marks(MachineFacts(spec_btdc=17.0, spec_curve="fixed", curve_deg=6.0), [(1400, 17), (9000, 17)])
    assert (marks.judged.verdict, marks.change_deg) == ("in-spec", 0)


def test_the_plot_is_told_reading_by_reading_with_the_spec_at_each():
    assert marks_in_words(judge_marks(ADVANCING, [(1000, 10), (9000, 28.5)])) == (
        "Timing against revs: 10° at 1000 rpm (spec 10°); 28.5° at 9000 rpm (spec 28°). From tickover to peak it "
        "advances 18.5°. By design it should advance 18°. Verdict: in spec."
    )
    assert marks_in_words(judge_marks(MachineFacts(), [(1000, 10), (9000, 9)])) == (
        "Timing against revs: 10° at 1000 rpm (taken as spec: 10°); 9° at 9000 rpm (taken as spec: 10°). "
        "From tickover to peak it retards 1°. Verdict: in spec."
    )


def test_a_design_that_retards_is_said_to():
    retarding = MachineFacts(spec_btdc=20.0, spec_curve="retarding", curve_deg=6.0)
    marks = judge_marks(retarding, [(1000, 20), (9000, 14)])
    assert (marks.curve, marks.change_deg, marks.is_spec_known) == ("retarding", 6.0, True)
    assert drift_in_words(marks) == "From tickover to peak it retards 6°. By design it should retard 6°."


def test_a_curve_of_unknown_size_says_what_is_missing():
    for curve in ("retarding", "advancing"):
        with pytest.raises(BadInput) as refused:
            judge_marks(MachineFacts(spec_btdc=17.0, spec_curve=curve), [(1400, 17), (9000, 10)])
        assert (refused.value.where, refused.value.found) == ("The machine's own timing change", None)
        assert refused.value.allowed == "its size in degrees, or the strobe marked as not seen"


def test_a_change_of_nothing_is_a_known_size():
    marks = judge_marks(MachineFacts(spec_btdc=17.0, spec_curve="retarding", curve_deg=0.0), [(1400, 17), (9000, 17)])
    assert (marks.judged.verdict, marks.change_deg) == ("in-spec", 0.0)
