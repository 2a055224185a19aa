"""The strobe's picture: a file that stands by itself, drawn for every verdict, the same each time."""

import re
from xml.etree import ElementTree

import pytest

from diagnostics.core.findings import MachineFacts
from diagnostics.core.timing.strobe_marks import judge_marks
from diagnostics.pages.pictures.strobe import strobe_chart
from garage.output.pictures import HAND

FIXED = MachineFacts(spec_btdc=17.0)
VERDICTS = {
    "advances": [(1400, 14), (5200, 17.1), (9000, 19.5)],
    "erratic": [(1400, 17), (4000, 13), (7000, 20.5), (9000, 17)],
    "retards-far": [(1400, 17), (9000, 12)],
    "set-wrong": [(1400, 20), (9000, 20)],
    "eases-back": [(1400, 17), (9000, 15.5)],
    "in-spec": [(1400, 17), (9000, 16.4)],
}


def drawn(readings, machine=FIXED, before=None):
    return strobe_chart(judge_marks(machine, readings), before and judge_marks(machine, before)).decode()


@pytest.mark.parametrize("verdict", VERDICTS)
def test_each_verdict_is_drawn_and_those_that_need_action_are_in_the_accent_colour(verdict):
    kept = drawn(VERDICTS[verdict])
    ElementTree.fromstring(kept)  # noqa: S314 (our own file)
    assert judge_marks(FIXED, VERDICTS[verdict]).judged.verdict == verdict
    assert (HAND in kept) == (verdict not in ("in-spec", "eases-back"))


def test_the_same_readings_give_the_same_file_and_other_readings_another():
    assert drawn(VERDICTS["advances"]) == drawn(VERDICTS["advances"])
    assert drawn(VERDICTS["advances"]) != drawn([(1400, 14), (5200, 17.1), (9000, 19.6)])


def test_the_earlier_curve_is_drawn_broken_behind_it():
    alone, with_before = drawn(VERDICTS["in-spec"]), drawn(VERDICTS["in-spec"], before=VERDICTS["advances"])
    assert with_before.count("stroke-dasharray") > alone.count("stroke-dasharray")
    assert HAND not in with_before  # only what is now needs a hand


@pytest.mark.parametrize(
    "machine",
    [
        MachineFacts(),
        MachineFacts(spec_btdc=10.0, spec_curve="advancing", curve_deg=18.0),
        MachineFacts(spec_btdc=24.0, spec_curve="retarding", curve_deg=10.0),
    ],
)
def test_a_curve_and_a_missing_spec_are_drawn_too(machine):
    assert "</svg>" in drawn([(1200, 10), (4000, 15), (8000, 28)], machine)


@pytest.mark.parametrize("readings", [[(1, -180), (100000, 180)], [(1400, 17), (1400.5, 17)], [(1, 0), (2, 0)]])
def test_readings_at_the_ends_of_what_is_allowed_are_drawn(readings):
    assert "</svg>" in drawn(readings)


def test_the_picture_fetches_nothing():
    assert all(link.startswith("#") for link in re.findall(r'href="([^"]*)"', drawn(VERDICTS["advances"])))
