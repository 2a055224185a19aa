import numpy as np
import pytest

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.outline import outline


def test_a_sound_that_grows_has_an_outline_that_grows_to_one():
    grows = np.linspace(0, 0.5, 48_000, dtype=np.float32) * np.where(np.arange(48_000) % 2, 1, -1)
    found = outline(grows)
    assert len(found) == limits.OUTLINE_PEAKS
    assert list(found) == sorted(found)
    assert found[-1] == 1.0
    assert found[limits.OUTLINE_PEAKS // 2] == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize("count", [1, 2, limits.OUTLINE_PEAKS - 1, limits.OUTLINE_PEAKS, limits.OUTLINE_PEAKS + 1])
def test_the_loudest_moment_is_never_left_out(count):
    for place in (0, count // 2, count - 1):
        samples = np.full(count, 0.1, np.float32)
        samples[place] = -0.8
        assert max(outline(samples)) == 1.0
        assert outline(samples).index(1.0) == pytest.approx(place * min(limits.OUTLINE_PEAKS, count) / count, abs=1)


def test_silence_has_a_flat_outline_and_nothing_has_none():
    assert outline(np.zeros(9, np.float32), peaks=3) == (0.0, 0.0, 0.0)
    assert outline(np.zeros(0, np.float32)) == ()


def test_each_part_is_as_high_as_its_loudest_sample_to_a_thousandth_of_the_loudest_of_all():
    samples = np.array([0.1, -0.2, 0.0, 0.05, 0.3, 0.1], np.float32)
    assert outline(samples, peaks=3) == (0.667, 0.167, 1.0)
    assert outline(samples, peaks=2) == (0.667, 1.0)
    assert outline(samples, peaks=9) == (0.333, 0.667, 0.0, 0.167, 1.0, 0.333)
    assert all(type(share) is float for share in outline(samples))
