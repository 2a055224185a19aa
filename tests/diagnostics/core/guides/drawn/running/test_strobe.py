import pytest

from diagnostics.core.guides.drawn.running.strobe import (
    ADVANCED_DEG,
    EASED_DEG,
    IDLE_RPM,
    PEAK_RPM,
    RIM,
    RIM_MIDDLE,
    SPEC_DEG,
    on_the_rim,
)
from diagnostics.core.guides.pen import polar
from diagnostics.core.timing.strobe import judge_strobe


@pytest.mark.parametrize(
    ("peak_deg", "verdict"), [(SPEC_DEG - 0.3, "in-spec"), (EASED_DEG, "eases-back"), (ADVANCED_DEG, "advances")]
)
def test_each_drawn_line_is_what_its_name_says(peak_deg, verdict):
    readings = [(IDLE_RPM, SPEC_DEG), (PEAK_RPM, peak_deg)]
    assert judge_strobe(SPEC_DEG, readings).verdict == verdict


@pytest.mark.parametrize("reading_deg", [SPEC_DEG, ADVANCED_DEG])
def test_what_is_read_stands_under_the_pointer(reading_deg):
    assert polar(RIM_MIDDLE, RIM, on_the_rim(reading_deg, reading_deg)) == pytest.approx((160, 78))


def test_the_t_mark_is_further_from_the_pointer_when_the_spark_is_earlier():
    at_spec, advanced = (polar(RIM_MIDDLE, RIM, on_the_rim(0, deg))[0] for deg in (SPEC_DEG, ADVANCED_DEG))
    assert advanced < at_spec < 160


def test_the_delay_that_the_page_names_is_right():
    deg_per_s = PEAK_RPM * 360 / 60
    assert deg_per_s == 52_800
    assert deg_per_s * 25e-6 == pytest.approx(1.3, abs=0.05)
