import pytest

from diagnostics.core.guides.drawn.running.jets import OLD_JET, SMALLEST_JET, fuel_share
from diagnostics.core.guides.drawn.running.rev_out import CEILING_RPM, PEAK_RPM, ceiling, clean, throttle


def test_the_share_of_fuel_is_what_the_page_says():
    assert fuel_share(SMALLEST_JET, beside=OLD_JET) == pytest.approx(0.94**2 / 1.02**2)
    assert round(100 * fuel_share(SMALLEST_JET, beside=OLD_JET)) == 85
    assert fuel_share(OLD_JET, beside=OLD_JET) == 1


def test_the_drawn_engine_gets_to_peak_revs_and_its_ceiling_holds_it_below():
    held_s = [2.5 + step / 10 for step in range(15)]
    assert all(throttle(at_s) == 1 for at_s in held_s)
    assert max(clean(at_s) for at_s in held_s) == pytest.approx(PEAK_RPM, rel=0.01)
    assert max(ceiling(at_s) for at_s in held_s) <= CEILING_RPM
    assert (PEAK_RPM, CEILING_RPM) == (8800, 5200)


@pytest.mark.parametrize(("at_s", "opened"), [(0, 0), (0.5, 0), (1.0, 0.5), (1.5, 1), (4.0, 1), (4.3, 0)])
def test_the_throttle_opens_over_a_second_and_is_held(at_s, opened):
    assert throttle(at_s) == pytest.approx(opened)
