import pytest

from garage.core.text.unbroken import UNITS, kept_together
from tests.rules.tree import ROOT


@pytest.mark.parametrize("unit", UNITS)
def test_a_number_keeps_its_unit_before_a_full_stop_and_at_the_end(unit):
    assert kept_together(f"<p>Up to 1,200 {unit}. Then 17.5 {unit}</p>") == (
        f"<p>Up to 1,200\u00a0{unit}. Then 17.5\u00a0{unit}</p>"
    )


@pytest.mark.parametrize(
    "left_alone",
    [
        '<input value="at 7000 rpm" title="17 °C">',
        "<textarea>\nflat at 7000 rpm</textarea>",
        "<option>1400 rpm</option>",
        "<p>two rpm, rpm alone, 98 min, 40 kWh</p>",
    ],
)
def test_tags_fields_and_other_words_stay_as_they_are(left_alone):
    assert kept_together(left_alone) == left_alone


def test_it_does_nothing_the_second_time():
    once = kept_together("974.5 hPa, 30 °C, 40 % humidity, 1.112 kg/m³")
    assert kept_together(once) == once
    assert " " not in once.replace(", ", "").replace(" humidity", "")


def test_each_paper_with_readings_goes_through_it():
    for name in ("card", "report"):
        paper = (ROOT / "templates" / "papers" / f"{name}.html").read_text(encoding="utf-8")
        assert "{% filter unbroken %}" in paper, name
