from __future__ import annotations

import pytest

from garage.core.machines.gearing import rpm_per_km_h
from jobs.core.runs.road_speed import ToldSpeed, road_speed_sentence, told_speeds

FIFTY = [ToldSpeed("50 mph", 80.4672)]
GEARED = rpm_per_km_h(7.5, 1850)  # 67.57 rpm for 1 km/h: 50 mph are 5,437 rpm


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("Dies at 50.", ["50 mph", "50 km/h"]),
        ("cuts out above 45 mph, fine below", ["45 mph"]),
        ("Won't pull past 90 km/h", ["90 km/h"]),
        ("holds back over 80kph", ["80 km/h"]),
        ("stutters around 55", ["55 mph", "55 km/h"]),
    ],
)
def test_a_road_speed_is_found_in_the_owners_words(words, says):
    assert [one.says for one in told_speeds(words)] == says


@pytest.mark.parametrize(
    "words",
    [
        "",
        "New pipes; it smokes and four-strokes.",
        "Ceiling at 6,900, stutters.",
        "Set to 22° at 1,350",
        "it is at 22 degrees",
        "collect at 17:30",
        "main jet about 98 jet or so",
        "oil at 50:1",
        "runs out at 12 miles",
        "over 10 mph too slow",
    ],
)
def test_other_numbers_are_none(words):
    assert [one for one in told_speeds(words) if one.km_h > 20] == []


def test_the_same_revs_on_road_and_stand_are_said_to_be_the_same():
    said = road_speed_sentence(FIFTY, GEARED, gear="the gear of run A", ceiling_rpm=5600, peak_rpm=5650)
    assert said == (
        "In the gear of run A 50 mph are 5,437 rpm. On the stand it could not pass 5,600 rpm: the same revs with load "
        "and without, so it is the revs that stop it, not the load."
    )


@pytest.mark.parametrize(
    ("heard", "ends"),
    [
        ({"ceiling_rpm": 8900, "peak_rpm": 8950}, "could not pass 8,900 rpm: under load it gives up sooner."),
        (
            {"ceiling_rpm": 4200, "peak_rpm": 4250},
            "could not pass 4,200 rpm, and that is less: ask in which gear it was.",
        ),
        ({"ceiling_rpm": None, "peak_rpm": 9100}, "it revved out to 9,100 rpm: under load it gives up sooner."),
        ({"ceiling_rpm": None, "peak_rpm": None}, "No clip says yet how far it revs on the stand."),
    ],
)
def test_what_the_stand_heard_is_set_beside_it(heard, ends):
    assert road_speed_sentence(FIFTY, GEARED, gear="the gear of run A", **heard).endswith(ends)


def test_a_speed_without_a_unit_is_told_in_both():
    said = road_speed_sentence(
        told_speeds("dies at 50"), GEARED, gear="the gear of run A", ceiling_rpm=None, peak_rpm=None
    )
    assert "50 mph are 5,437 rpm and 50 km/h are 3,378 rpm" in said


@pytest.mark.parametrize(
    ("ceiling_rpm", "ends"),
    [
        (7600, " In third gear it would be the same revs as there: ask in which gear it was."),
        (5600, "so it is the revs that stop it, not the load."),
        (12_500, "under load it gives up sooner."),
    ],
)
def test_a_lower_gear_with_the_stands_revs_is_named_unless_top_has_them(ceiling_rpm, ends):
    lower = {"second gear": GEARED * 2, "third gear": GEARED * 1.4}
    said = road_speed_sentence(
        FIFTY, GEARED, gear="top gear", ceiling_rpm=ceiling_rpm, peak_rpm=ceiling_rpm, lower=lower
    )
    assert said.startswith("In top gear 50 mph are 5,437 rpm. ")
    assert said.endswith(ends)
