"""The verdict's probability goes the way physics says, and each verdict has its reason."""

from dataclasses import replace

import numpy as np
import pytest

from diagnostics.hearing.core import verdict_limits
from diagnostics.hearing.core.following.climb import Climb
from diagnostics.hearing.core.following.parts import Parts
from diagnostics.hearing.core.following.track import Track
from diagnostics.hearing.core.heard import HeardReason
from diagnostics.hearing.core.verdict import fitted
from diagnostics.hearing.core.verdict.features import NAMES, Features
from diagnostics.hearing.core.verdict.verdict import chance_of_breakdown, judge, steps_in, unclear, why_unclear

HEALTHY = Features(
    lost_share=0.0,
    weak=np.log(verdict_limits.FEW_WEAK),
    missed=0.0,
    shallow=0.02,
    answers=0.0,
    slows=0.0,
    dry_answers=0.0,
    dry_runs=0.0,
    regains=0.02,
    abrupt=0.6,
    flutter=0.1,
    pull=0.1,
    lapses=0.1,
    lulls=-0.4,
    skipping=0.0,
    weak_firings=0.0,
    dives=0.0,
)
FAILING = replace(
    HEALTHY,
    lost_share=0.7,
    weak=np.log(verdict_limits.FEW_WEAK + 0.4),
    missed=0.4,
    shallow=0.4,
    answers=0.7,
    slows=0.5,
    dry_answers=0.5,
    dry_runs=0.6,
    regains=0.3,
    abrupt=1.0,
    flutter=0.5,
    pull=0.6,
    lapses=0.3,
    weak_firings=0.4,
)
# Halfway between the two.
BETWEEN = Features(**{name: (getattr(HEALTHY, name) + getattr(FAILING, name)) / 2 for name in vars(HEALTHY)})
GAPS = [(1.0, 1.2), (1.5, 1.7)]


def test_the_numbers_name_every_feature():
    assert set(fitted.SCALES) == set(NAMES)
    assert set(fitted.VERDICT) == {"always", *NAMES}


def test_a_healthy_hold_revs_out_and_a_failing_one_breaks_down():
    assert chance_of_breakdown(HEALTHY) < 0.1
    assert chance_of_breakdown(FAILING) > 0.9
    assert judge(HEALTHY, []).verdict == "revs-out"
    failing = judge(FAILING, GAPS)
    assert (failing.verdict, failing.reason) == ("breaks-down", HeardReason.FAILS)


@pytest.mark.parametrize("name", NAMES)
def test_no_feature_of_a_failing_one_ever_speaks_for_a_sound_ignition(name):
    assert chance_of_breakdown(replace(HEALTHY, **{name: getattr(FAILING, name)})) >= chance_of_breakdown(HEALTHY)


def test_no_breakdown_is_called_that_cannot_be_shown():
    assert judge(replace(FAILING, weak_firings=0.2, pull=0.2), []).verdict == "unclear"


def test_an_engine_that_is_thrown_back_is_told_by_its_speed_where_walls_fill_every_drop_out():
    told = judge(replace(FAILING, weak_firings=0.2, pull=verdict_limits.THROWN_BACK), [])
    assert (told.verdict, told.reason) == ("breaks-down", HeardReason.THROWN_BACK)
    assert judge(replace(FAILING, weak_firings=0.2, pull=verdict_limits.THROWN_BACK - 0.01), []).verdict == "unclear"


def test_firing_that_fails_often_for_a_moment_each_is_shown_without_a_drop_out():
    # A limiter cuts one or two firings at a time: the manual of `listen` calls that a breakdown, not a drop-out.
    cuts = judge(FAILING, [])
    assert (cuts.verdict, cuts.reason) == ("breaks-down", HeardReason.FAILS)


def test_an_engine_with_many_weak_firings_is_not_said_to_rev_out():
    # Each failure too short to count as a drop-out: a limiter that cuts, or an ignition at its ceiling.
    assert judge(BETWEEN, []).verdict == "unclear"


def test_sound_that_fails_while_the_engine_gains_speed_is_no_breakdown():
    # A phone's gain that swings, a voice: an engine that does not fire slows down (Newton).
    assert judge(replace(FAILING, slows=-0.5, regains=0.1), GAPS).verdict == "unclear"
    # One that keeps gaining what it lost does fail: its gaps were found a little beside the true ones.
    assert judge(replace(FAILING, slows=-0.5, regains=0.2), GAPS).verdict == "breaks-down"


def test_a_speed_that_dives_while_all_fires_is_no_engine_s():
    # A voice's pitch falls as fast as it rises. An engine whose firing fails may fall like a stone.
    assert judge(replace(HEALTHY, dives=0.2), []).reason == HeardReason.JUMPS
    assert judge(replace(BETWEEN, dives=0.2), []).reason == HeardReason.JUMPS
    assert judge(replace(FAILING, dives=0.2), GAPS).verdict == "breaks-down"


@pytest.mark.parametrize("sign", [{"weak_firings": verdict_limits.FAILS_OFTEN}, {"pull": verdict_limits.PULLS_PLAINLY}])
def test_a_sign_that_no_sound_engine_shows_is_enough_alone(sign):
    told = judge(replace(HEALTHY, **sign), [])
    assert (told.verdict, told.confidence) == ("breaks-down", verdict_limits.PLAIN_CHANCE)
    assert judge(replace(HEALTHY, **{name: value - 0.01 for name, value in sign.items()}), []).verdict == "revs-out"
    assert judge(replace(HEALTHY, **sign, slows=-0.5), []).verdict == "unclear"  # it gains speed while firing fails


def test_an_even_rhythm_speaks_for_a_sound_ignition():
    assert chance_of_breakdown(replace(BETWEEN, skipping=0.9)) < chance_of_breakdown(replace(BETWEEN, skipping=0.0))


def test_confidence_of_a_clear_verdict_is_at_least_the_limit():
    assert judge(HEALTHY, []).confidence >= fitted.CLEAR_FROM


def test_a_chance_is_the_logistic_of_what_the_features_weigh():
    at_mean = replace(HEALTHY, **{name: fitted.SCALES[name][0] for name in NAMES})
    odds = fitted.VERDICT["always"]
    assert chance_of_breakdown(at_mean) == pytest.approx(1 / (1 + np.exp(-odds)))
    for name in NAMES:
        mean, spread = fitted.SCALES[name]
        for spreads, counts in ((-1, -1), (-1.5, -1.5), (-9, -verdict_limits.FEATURES_AT_MOST)):
            found = chance_of_breakdown(replace(at_mean, **{name: mean + spreads * spread}))
            wanted = 1 / (1 + np.exp(-odds - counts * fitted.VERDICT[name]))
            assert found == pytest.approx(np.clip(wanted, 1 - verdict_limits.SUREST, verdict_limits.SUREST))


def test_nothing_is_ever_surer_than_the_limit():
    least, most = (replace(HEALTHY, **dict.fromkeys(NAMES, far) | {"skipping": 0.0}) for far in (-20.0, 20.0))
    assert chance_of_breakdown(least) == pytest.approx(1 - verdict_limits.SUREST)
    assert chance_of_breakdown(most) == pytest.approx(verdict_limits.SUREST)
    assert judge(least, []).confidence == round(verdict_limits.SUREST, 3)


def test_a_verdict_is_as_sure_as_its_chance():
    failing = judge(FAILING, GAPS)
    assert failing.confidence == round(chance_of_breakdown(FAILING), 3)
    assert judge(HEALTHY, []).confidence == round(1 - chance_of_breakdown(HEALTHY), 3)
    for doubtful in (BETWEEN, replace(FAILING, weak_firings=0.0, pull=0.2)):
        told = judge(doubtful, [])
        assert (told.verdict, told.reason) == ("unclear", HeardReason.DOUBT)
        assert told.confidence == fitted.UNCLEAR["doubt"]


def test_every_reason_of_an_unclear_verdict_says_how_often_nobody_could_answer():
    clear = {HeardReason.HOLDS, HeardReason.HOLDS_RICH, HeardReason.FAILS, HeardReason.THROWN_BACK}
    assert set(fitted.UNCLEAR) == set(HeardReason) - clear
    for reason in set(HeardReason) - clear:
        told = unclear(reason)
        assert (told.verdict, told.reason) == ("unclear", reason)
        assert 0 <= told.confidence <= 1
    # Where the firing is plain and only the verdict in doubt, a better ear would be sure.
    assert unclear(HeardReason.DOUBT).confidence < unclear(HeardReason.NO_ENGINE).confidence


def test_a_rich_engine_holds_with_its_own_reason():
    for skipping, reason in ((verdict_limits.RICH_SHARE - 0.01, HeardReason.HOLDS), (0.31, HeardReason.HOLDS_RICH)):
        assert judge(replace(HEALTHY, skipping=skipping), []).reason == reason


def test_a_dive_rules_a_verdict_out_and_says_so():
    told = judge(replace(HEALTHY, dives=verdict_limits.DIVES_AT_MOST + 0.01), [])
    assert (told.confidence, told.reason) == (fitted.UNCLEAR["jumps"], HeardReason.JUMPS)
    assert judge(replace(HEALTHY, dives=verdict_limits.DIVES_AT_MOST), []).verdict == "revs-out"


def test_weak_firings_have_to_be_many_to_show_a_breakdown_by_themselves():
    assert judge(replace(FAILING, weak_firings=verdict_limits.OFTEN_WEAK), []).verdict == "breaks-down"
    assert (
        judge(replace(FAILING, weak_firings=verdict_limits.OFTEN_WEAK - 0.01, pull=0.2), []).reason == HeardReason.DOUBT
    )
    assert judge(replace(FAILING, weak_firings=0.0), GAPS).verdict == "breaks-down"
    assert judge(replace(FAILING, slows=verdict_limits.GAINS_LOG_S + 0.01), GAPS).verdict == "breaks-down"


# A rev-out heard well: 2 s of tickover, the throttle open from 2.1 s to 5 s, shut. Blocks of 10 ms.
RPM = np.concatenate(
    [np.full(200, 1500.0), np.geomspace(1500, 8000, 60), np.full(240, 8000.0), np.geomspace(8000, 2000, 100)]
)
CLIMB = Climb(first=100, total=30.0, mean=1.2, ahead=0.0)
PARTS = Parts(np.ones(600, bool), 1500.0, 8000.0, (2.1, 5.0), None, 1.0, 1500.0, -0.5)


def why(rpm=RPM, evidence=1.2, climb=CLIMB, **given):
    """Why no verdict is given on the rev-out heard well, with what is given otherwise."""
    seen = np.broadcast_to(np.asarray(evidence, float), len(rpm)).copy()
    return why_unclear(Track(rpm / 60, seen, np.zeros(1, np.float32), 1.0, climb), replace(PARTS, **given))


def along(before=1.2, climbs=1.2, holds=1.2):
    """Evidence before the hold, in its first 0.4 s and after that."""
    return np.r_[np.full(210, before), np.full(40, climbs), np.full(350, holds)]


def test_a_rev_out_heard_well_is_left_to_the_chances():
    assert why() is None


@pytest.mark.parametrize(
    ("given", "reason"),
    [
        ({"held": None}, HeardReason.NO_RISE),
        ({"held": None, "why": HeardReason.NO_ENGINE}, HeardReason.NO_ENGINE),
        ({"from_rpm": 3801.0}, HeardReason.BEGINS_LATE),
        ({"from_rpm": 3800.0}, None),
        ({"peak_rpm": 2499.0}, HeardReason.NO_RISE),
        ({"peak_rpm": 2500.0}, None),
        ({"peak_rpm": None}, HeardReason.NO_RISE),
        ({"held": (2.1, 3.05)}, HeardReason.SHORT_HOLD),
        ({"held": (2.0, 3.0)}, None),
        ({"held": (2.0, 8.0)}, None),
        ({"held": (2.0, 8.1)}, HeardReason.LONG_HOLD),  # a machine that passes by, or works
        ({"lulls": -4.01}, HeardReason.NO_ENGINE),
        ({"lulls": -4.0}, None),
        ({"swell": -0.61}, HeardReason.NO_SWELL),
        ({"swell": -0.6}, None),
    ],
)
def test_what_the_parts_show_may_leave_no_verdict(given, reason):
    assert why(**given) == reason


def test_a_climb_has_to_be_heard_or_tickover_and_a_far_faster_and_louder_hold():
    for given, reason in (
        ({}, None),
        ({"from_rpm": 3077.0}, HeardReason.NO_CLIMB),  # a machine that drives by and changes gear
        ({"swell": 0.24}, HeardReason.NO_CLIMB),
        ({"idle_rpm": None}, None),
        ({"evidence": along(before=0.54)}, HeardReason.NO_CLIMB),
        ({"evidence": along(climbs=0.59)}, HeardReason.NO_CLIMB),
    ):
        assert why(climb=None, **given) == reason
    assert why(evidence=along(climbs=0.59)) == HeardReason.NO_CLIMB
    assert why(evidence=along(climbs=0.61)) is None


def test_the_speed_of_the_hold_heard_before_the_rise_begins_late_unless_the_sound_swells():
    ahead = replace(CLIMB, ahead=0.91)
    assert why(climb=ahead, swell=0.09) == HeardReason.BEGINS_LATE
    assert why(climb=ahead, swell=0.1) is None
    assert why(climb=replace(CLIMB, ahead=0.9), swell=0.09) is None


def test_tickover_is_heard_or_the_climb_shows_plainly():
    drowned = {"evidence": along(before=0.5)}
    assert why(evidence=along(before=0.61), climb=Climb(100, 1.0, 0.7, 0.0)) is None
    assert why(**drowned, climb=Climb(100, 1.0, 0.7, 0.0)) == HeardReason.NO_TICKOVER
    assert why(climb=Climb(100, 1.0, 0.7, 0.0), idle_rpm=None) == HeardReason.NO_TICKOVER
    # A frame lasts 20 ms: after 31 frames the engine has ticked over for more than 0.6 s, after 61 for more than 1.2 s.
    for climb, shows in (
        (Climb(31, 12.1, 0.96, 0.0), True),
        (Climb(30, 12.1, 0.96, 0.0), False),
        (Climb(31, 12.0, 0.96, 0.0), False),
        (Climb(31, 12.1, 0.95, 0.0), False),
        (Climb(61, 5.1, 0.81, 0.0), True),
        (Climb(60, 5.1, 0.81, 0.0), False),
        (Climb(61, 5.0, 0.81, 0.0), False),
        (Climb(61, 5.1, 0.8, 0.0), False),
    ):
        assert why(**drowned, climb=climb) == (None if shows else HeardReason.NO_TICKOVER)


def test_where_tickover_is_drowned_the_sound_must_swell_and_never_pause_and_the_speed_not_fall():
    drowned = {"evidence": along(before=0.5)}
    assert why(**drowned) is None
    assert why(**drowned, swell=-0.3) == HeardReason.NO_TICKOVER
    assert why(**drowned, lulls=-1.6) == HeardReason.NO_TICKOVER
    falls = RPM.copy()
    falls[400:450] = np.geomspace(8000, 8000 * np.exp(-0.8), 50)  # 1.6 a second for half a second
    falls[450:500] = falls[449]
    assert why(rpm=falls, **drowned) == HeardReason.NO_TICKOVER
    assert why(rpm=falls) is None


def test_only_tickover_shortly_before_the_hold_counts():
    # From 1.2 s before it to 0.15 s before it.
    evidence = np.full(600, 1.2)
    evidence[:85] = evidence[198:210] = 0.0
    assert why(evidence=evidence, climb=Climb(100, 1.0, 0.7, 0.0)) is None
    evidence[90:190] = 0.5
    assert why(evidence=evidence, climb=Climb(100, 1.0, 0.7, 0.0)) == HeardReason.NO_TICKOVER


def test_a_speed_that_falls_as_no_engine_s_jumps():
    falls = RPM.copy()
    falls[350:400] = np.geomspace(8000, 8000 * np.exp(-1.25), 50)  # 2.5 a second for half a second
    falls[400:500] = 8000.0
    faint = Climb(100, 11.0, 1.0, 0.0)
    assert why(rpm=falls, climb=faint) == HeardReason.JUMPS
    slower = RPM.copy()
    slower[350:400] = np.geomspace(8000, 8000 * np.exp(-0.75), 50)
    slower[400:500] = 8000.0
    assert why(rpm=slower, climb=faint) is None


def test_a_plain_climb_outweighs_a_path_that_falls_too_fast_but_no_tune():
    falls = RPM.copy()
    falls[350:400] = np.geomspace(8000, 8000 * np.exp(-1.25), 50)
    falls[400:500] = 8000.0
    notes = np.concatenate([RPM[:260], np.repeat([8000.0, 7000.0, 8000.0, 7000.0, 8000.0, 7000.0], 40)])
    plain, faint = Climb(100, 13.0, 1.0, 0.0), Climb(100, 11.0, 1.0, 0.0)
    assert why(rpm=falls, climb=plain) is None
    assert why(rpm=falls, climb=faint) == HeardReason.JUMPS
    assert why(rpm=notes, climb=plain) == HeardReason.JUMPS


def test_a_tune_jumps_from_note_to_note_and_a_few_steps_are_no_tune():
    notes = np.concatenate([RPM[:260], np.repeat([8000.0, 7000.0, 8000.0, 7000.0, 8000.0, 7000.0], 40)])
    assert why(rpm=notes) == HeardReason.JUMPS
    few = np.concatenate([RPM[:260], np.repeat([8000.0, 7500.0, 8000.0, 7500.0], 60)])
    assert why(rpm=few) is None


def test_as_many_steps_in_a_long_clip_are_no_tune():
    # Five steps in 11.4 s are fewer than 0.7 a second.
    slow = np.concatenate([np.full(600, 1500.0), np.geomspace(1500, 8000, 60), np.repeat([8000.0, 7600.0] * 3, 80)])
    assert steps_in(slow) >= verdict_limits.STEPS_FROM
    assert why(rpm=slow, held=(6.1, 11.3)) is None


def test_a_speed_that_falls_before_it_is_up_does_not_jump():
    bogs = RPM.copy()
    bogs[210:230], bogs[230:260] = np.geomspace(4000, 1500, 20), np.geomspace(1500, 8000, 30)
    assert why(rpm=bogs, held=(2.1, 3.4)) is None


def test_a_step_is_quick_and_large_enough_and_has_stillness_to_both_sides():
    assert steps_in(np.repeat([3000.0, 3200.0], 30)) == 1
    assert steps_in(np.repeat([3000.0, 3090.0], 30)) == 0
    assert steps_in(np.repeat([3200.0, 3000.0], 30)) == 1
    slow = np.r_[np.full(30, 3000.0), np.geomspace(3000, 3600, 25), np.full(30, 3600.0)]
    assert steps_in(slow) == 0
    quick = np.r_[np.full(30, 3000.0), np.geomspace(3000, 3600, 8), np.full(30, 3600.0)]
    assert steps_in(quick) == 1
    assert steps_in(np.repeat([3000.0, 3600.0], [5, 30])) == 0
    assert steps_in(np.repeat([3000.0, 3600.0], [30, 5])) == 0
    assert steps_in(np.r_[np.full(30, 3000.0), np.full(9, 3600.0), np.full(30, 4200.0)]) == 0
    assert steps_in(np.full(60, 3000.0)) == 0


def test_what_is_too_faint_in_hold_and_climb_is_unclear():
    assert why(evidence=along(holds=0.54)) == HeardReason.FAINT
    assert why(evidence=along(holds=0.56)) is None
    assert why(evidence=along(climbs=0.7, holds=0.7)) == HeardReason.FAINT
    # A bad ignition fires two fifths of the time, and clearly then.
    evidence = along(climbs=0.7, holds=0.7)
    evidence[330:500] = 0.9
    assert why(evidence=evidence) is None
