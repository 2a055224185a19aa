"""The verdict's probability goes the way physics says, and its sentences are an owner's."""

import numpy as np
import pytest

from diagnostics.core.hearing import fitted
from diagnostics.core.hearing.drop_outs import Firings
from diagnostics.core.hearing.parts import Parts
from diagnostics.core.hearing.track import Track
from diagnostics.core.hearing.verdict import NAMES, REASONS, _dives, chance_of_breakdown, judge, measured

HEALTHY = dict.fromkeys(NAMES, 0.0) | {"sag": 0.003, "wobble": 0.003, "dives": 0.0}
FAILING = {
    "lost_share": 0.7,
    "lost_rate": 1.4,
    "late_lost_share": 0.7,
    "sag": 0.03,
    "wobble": 0.02,
    "fade": 0.03,
    "weak_firings": 0.4,
    "skipping": 0.0,
    "slows": 0.3,
    "dives": 0.0,
}


def test_the_numbers_name_every_feature():
    assert set(fitted.SCALES) == set(NAMES)
    assert set(fitted.VERDICT) == {"always", *NAMES}


def test_a_healthy_hold_revs_out_and_a_failing_one_breaks_down():
    assert chance_of_breakdown(HEALTHY) < 0.1
    assert chance_of_breakdown(FAILING) > 0.9
    assert judge(HEALTHY, []).verdict == "revs-out"
    failing = judge(FAILING, [(1.0, 1.2), (1.5, 1.7)])
    assert failing.verdict == "breaks-down"
    assert "2 times" in failing.reason


@pytest.mark.parametrize("name", ["lost_share", "lost_rate", "late_lost_share"])
def test_more_lost_firing_never_speaks_for_a_sound_ignition(name):
    assert chance_of_breakdown(HEALTHY | {name: FAILING[name]}) >= chance_of_breakdown(HEALTHY)


def test_no_breakdown_is_called_without_a_drop_out_that_can_be_shown():
    assert judge(FAILING, []).verdict == "unclear"


def test_sound_that_fails_while_the_engine_gains_speed_is_no_breakdown():
    # A phone's gain that swings, a voice: an engine that does not fire slows down (Newton).
    assert judge(FAILING | {"slows": -0.5}, [(1.0, 1.2), (1.5, 1.7)]).verdict == "unclear"


@pytest.mark.parametrize("seen", [{"slows": 0.0}, {"skipping": 0.3}, {"weak_firings": 0.01, "slows": 0.1}])
def test_what_fails_seldom_must_slow_the_engine_and_quieten_it_and_be_no_rhythm(seen):
    # A saw's firings differ in strength under load, and a rich engine skips: neither is an ignition that fails.
    seldom, gaps = FAILING | {"lost_share": 0.4, "weak_firings": 0.2}, [(1.0, 1.2), (1.5, 1.7)]
    assert judge(seldom, gaps).verdict == "breaks-down"
    assert judge(seldom | seen, gaps).verdict == "unclear"
    # Where most of the firing is gone the speed stands at its ceiling, and what fires between may look like a rhythm.
    assert judge(FAILING | seen | {"lost_share": 0.8}, gaps).verdict == "breaks-down"


def test_what_fails_often_for_a_moment_each_need_not_slow_the_engine():
    # A limiter cuts every second or third firing at one speed; a rich engine that skips so does it evenly.
    cuts, gaps = FAILING | {"lost_share": 0.2, "weak_firings": 0.5, "slows": 0.0}, [(1.0, 1.03), (1.5, 1.53)]
    assert judge(cuts, gaps).verdict == "breaks-down"
    assert judge(cuts | {"weak_firings": 0.2}, gaps).verdict == "unclear"
    assert judge(cuts | {"skipping": 0.25}, gaps).verdict == "unclear"


def held(weak, gains=0.0, pattern=1):
    """What is measured of a hold of 3 s at 8000 rpm in which two stretches of 60 ms are taken for failing."""
    rpm, gaps, at_s = np.full(400, 8000.0), [(1.5, 1.56), (2.5, 2.56)], np.arange(0.5, 3.5, 60 / 8000)
    inside = np.any([(at_s >= a) & (at_s < b) for a, b in gaps], axis=0)
    for start_s, end_s in gaps:
        rpm[round(start_s * 100) : round(end_s * 100)] *= np.linspace(1.0, 1.0 + gains, round(100 * (end_s - start_s)))
        rpm[round(end_s * 100) :] *= 1.0 + gains
    firings = Firings(
        at_s, np.where(inside & weak, -1.5, 0.0), ~inside * 1.0, ~inside * 1.0, np.full(len(at_s), pattern)
    )
    track = Track(rpm / 60, np.ones(400), np.zeros(400, int), np.ones(8000, np.float32), 1.0)
    return measured(track, Parts(np.ones(400, bool), 1500.0, 8000.0, (0.5, 3.5), 5.0, ""), firings, gaps)


def test_drop_outs_that_no_firing_is_missing_in_are_none():
    values, lost = held(weak=True)
    assert len(lost) == 2
    assert values["lost_share"] > 0
    for values, lost in (held(weak=False), held(weak=True, gains=0.02), held(weak=True, pattern=2)):
        assert lost == []
        assert values["lost_share"] == values["lost_rate"] == 0


def test_a_speed_that_dives_while_all_fires_is_no_engine_s():
    # A voice's pitch falls as fast as it rises, whether firing is heard or not.
    assert judge(HEALTHY | {"dives": 0.2}, []).verdict == "unclear"
    assert judge(FAILING | {"dives": 0.2}, [(1.0, 1.2), (1.5, 1.7)]).verdict == "unclear"


def test_only_what_falls_outside_drop_outs_dives():
    rpm = np.concatenate([np.full(100, 8000.0), np.geomspace(8000, 4000, 30), np.full(70, 4000.0)])
    assert _dives(rpm, 0, []) == pytest.approx(0.15, abs=0.05)
    assert _dives(rpm, 0, [(0.98, 1.32)]) == 0.0


def test_confidence_of_a_clear_verdict_is_at_least_the_limit():
    assert judge(HEALTHY, []).confidence >= fitted.CLEAR_FROM


def test_reasons_are_one_sentence_each():
    assert all(reason.endswith(".") and reason.count(". ") == 0 for reason in REASONS.values())


def test_an_engine_with_many_weak_firings_is_not_said_to_rev_out():
    # Each failure too short to count as a drop-out: a limiter that cuts, or an ignition at its ceiling.
    assert judge(HEALTHY | {"weak_firings": 0.1, "skipping": 0.0}, []).verdict == "unclear"
    assert judge(HEALTHY | {"weak_firings": 0.1, "skipping": 0.6}, []).verdict == "revs-out"  # where a rhythm changes
