"""The worked examples of the forms: p_d in hPa dry, t in °C. Their pages quote the standards, which were not seen."""

from __future__ import annotations

import pytest

from jobs.core.runs.air import Air
from jobs.core.runs.correction import STANDARDS, correction


def dry(hpa: float, celsius: float) -> Air:
    return Air(hpa, celsius, 0)


@pytest.mark.parametrize(  # SAE J1349, June 1990, as quoted publicly; examples recomputed from the printed form
    ("hpa", "celsius", "factor"), [(1001.55, 20, 0.97656), (974.52, 30, 1.02876), (950, 35, 1.07015), (990, 25, 1.0)]
)
def test_the_form_of_sae_j1349(hpa, celsius, factor):
    assert correction("sae", dry(hpa, celsius)).factor == pytest.approx(factor, abs=6e-6)


def test_the_inch_and_fahrenheit_form_of_sae_is_the_same_air():
    """29.0 inHg dry and 68 °F: 0.99955 by 1.18 · (29.235/p) · ((F + 460)/537)^0.5 − 0.18. Not 505, as on some pages."""
    assert correction("sae", dry(29.0 * 33.86389, 20)).factor == pytest.approx(0.99955, abs=3e-5)


@pytest.mark.parametrize(  # ISO 1585, ECE R85; exponents from memory, examples recomputed
    ("hpa", "celsius", "factor"),
    [(1001.55, 20, 0.97621), (974.52, 30, 1.02932), (937.32, 25, 1.06782), (950, 35, 1.07175)],
)
def test_the_form_of_iso_1585(hpa, celsius, factor):
    assert correction("iso", dry(hpa, celsius)).factor == pytest.approx(factor, abs=6e-6)


@pytest.mark.parametrize(  # DIN 70020, the whole pressure; examples recomputed
    ("hpa", "celsius", "factor"), [(1013.25, 20, 0.99975), (990, 25, 1.03193), (1020, 10, 0.97604)]
)
def test_the_form_of_din_70020_does_not_ask_for_the_water(hpa, celsius, factor):
    for percent in (0, 80):
        assert correction("din", Air(hpa, celsius, percent)).factor == pytest.approx(factor, abs=6e-6)


@pytest.mark.parametrize(  # at 25 °C the factor reaches 1.07 and 0.93 there: solved from the forms
    ("standard", "thin", "dense"), [("iso", 935.73, 1051.72), ("sae", 934.56, 1052.43)]
)
def test_a_standard_holds_up_to_its_edge_and_not_past_it(standard, thin, dense):
    for edge, outwards in ((thin, -0.1), (dense, 0.1)):
        assert correction(standard, dry(edge - outwards, 25)).why_not == ""
        assert "outside 0.93 to 1.07" in correction(standard, dry(edge + outwards, 25)).why_not


@pytest.mark.parametrize(("celsius", "holds"), [(10.1, False), (10.3, True), (45.1, True), (45.3, False)])
def test_iso_holds_between_283_2_and_318_2_kelvin(celsius, holds):
    """(EU) 134/2014, annex X, appendix 2.2. The pressure is that at which the factor is near 1."""
    made = correction("iso", dry(990 * ((celsius + 273) / 298) ** 0.5, celsius))
    assert made.factor == pytest.approx(1, abs=1e-6)
    assert (made.why_not == "") is holds


def test_every_standard_is_one_in_its_own_air():
    """Reference states: 990 hPa of dry air and 25 °C; DIN 1013 hPa and 20 °C."""
    assert set(STANDARDS) == {"sae", "iso", "din"}
    assert correction("sae", dry(990, 25)).factor == pytest.approx(1, abs=1e-12)
    assert correction("iso", dry(990, 25)).factor == 1
    assert correction("din", dry(1013, 20)).factor == 1
