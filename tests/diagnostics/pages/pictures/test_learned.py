"""The pictures of what we learned: files that stand by themselves, and say by form what is too few."""

from xml.etree import ElementTree

import pytest

from diagnostics.core.learning.calibration import Predicted, Seen, bins
from diagnostics.pages.pictures.learned import calibration_chart, faults_chart
from garage.output.pictures import HAND


def bands(observed: int, many: int, chance: float = 0.5):
    return bins([Predicted(chance, place < observed) for place in range(many)])


@pytest.mark.parametrize(("observed", "is_outside"), [(20, False), (36, True)])
def test_a_band_whose_interval_misses_the_predicted_chance_is_in_the_one_accent(observed, is_outside):
    kept = calibration_chart(bands(observed, 40)).decode()
    ElementTree.fromstring(kept)  # noqa: S314 (our own file)
    assert (HAND in kept) == is_outside


def test_a_band_with_too_few_cases_has_no_interval_and_no_accent():
    few, enough = calibration_chart(bands(19, 19)).decode(), calibration_chart(bands(40, 40)).decode()
    assert HAND not in few
    assert HAND in enough


def test_the_same_numbers_give_the_same_file_and_none_gives_an_empty_sheet():
    assert calibration_chart(bands(3, 30)) == calibration_chart(bands(3, 30))
    ElementTree.fromstring(calibration_chart(()).decode())  # noqa: S314 (our own file)


def test_a_fault_outside_its_interval_is_in_the_accent_colour():
    inside = Seen(many=100, observed=5, predicted=0.05, low=0.02, high=0.11)
    outside = Seen(many=100, observed=20, predicted=0.05, low=0.13, high=0.29)
    name = "pickup and flywheel magnets are not level, a long name"
    assert HAND not in faults_chart([(name, inside)]).decode()
    assert HAND in faults_chart([(name, inside), ("air leak", outside)]).decode()
    ElementTree.fromstring(faults_chart([]).decode())  # noqa: S314 (our own file)
