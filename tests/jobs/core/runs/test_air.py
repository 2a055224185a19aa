from __future__ import annotations

import pytest

from garage.core.errors import BadInput
from jobs.core.runs.air import Air, richer_percent, saturation_hpa


@pytest.mark.parametrize(  # IAPWS-IF97, table 35
    ("kelvin", "megapascal"), [(300, 0.353658941e-2), (500, 0.263889776e1), (600, 0.123443146e2)]
)
def test_saturation_is_that_of_the_published_table(kelvin, megapascal):
    assert saturation_hpa(kelvin) / 1e4 == pytest.approx(megapascal, rel=2e-9)


@pytest.mark.parametrize(  # Smithsonian tables 1951 (Goff-Gratch): another formula, so 0.1 %
    ("celsius", "hpa"), [(10, 12.272), (15, 17.044), (20, 23.373)]
)
def test_saturation_agrees_with_the_older_table(celsius, hpa):
    assert saturation_hpa(celsius + 273.15) == pytest.approx(hpa, rel=1e-3)


@pytest.mark.parametrize(  # CoolProp 8.0.0, HumidAirProp, a real gas; PsychroLib 2.5.0 gives 1.1989 for the first
    ("celsius", "hpa", "percent", "density"),
    [(20, 1013.25, 50, 1.1994), (25, 990, 40, 1.1516), (30, 1000, 60, 1.1385), (10, 1020, 80, 1.2510)],
)
def test_moist_air_is_as_dense_as_in_the_reference_library(celsius, hpa, percent, density):
    assert Air(hpa, celsius, percent).density_kg_m3 == pytest.approx(density, rel=6e-4)


def test_water_makes_air_thinner_and_its_dry_share_smaller():
    dry, damp = Air(1000, 30, 0), Air(1000, 30, 90)
    assert damp.density_kg_m3 < dry.density_kg_m3
    assert damp.dry_hpa < dry.dry_hpa == 1000


def test_thinner_air_makes_the_mixture_richer_by_the_square_root():
    now, before = Air(900, 20, 0), Air(1000, 20, 0)
    assert richer_percent(now, before) == pytest.approx(100 * ((1000 / 900) ** 0.5 - 1))
    assert richer_percent(before, before) == 0
    assert richer_percent(before, now) < 0


@pytest.mark.parametrize(
    ("air", "sentence"),
    [
        ((1.013, 20, 50), "Pressure is 1.013; allowed is 800 to 1,100 hPa, as a barometer in the room shows it."),
        ((1013, 90, 50), "Temperature is 90; allowed is -10 to 50 °C."),
        ((1013, 20, 101), "Humidity is 101; allowed is 0 to 100 %."),
        ((float("nan"), 20, 50), "Pressure is nan; allowed is 800 to 1,100 hPa, as a barometer in the room shows it."),
    ],
)
def test_air_that_no_workshop_has_is_one_sentence(air, sentence):
    with pytest.raises(BadInput) as refused:
        Air(*air)
    assert refused.value.sentence == sentence
