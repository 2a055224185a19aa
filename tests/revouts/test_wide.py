"""The wide set's crank, sparks and rooms do what they say, and its truth is the manual's."""

from dataclasses import replace

import numpy as np
import pytest

from tests.revouts.engine import TRUTH_STEP_S
from tests.revouts.sound import MADE_HZ
from tests.revouts.wide import sparks
from tests.revouts.wide.crank import NOT_LIT, Crank, truth_of, turn_over
from tests.revouts.wide.exhaust import SHAPES, pulse
from tests.revouts.wide.phones import Phone
from tests.revouts.wide.rooms import Room, drr_db, response
from tests.revouts.wide.sets import FAILING, FINE, with_noise

CRANK = Crank(
    fires_per_turn=1.0, idle_rpm=1500.0, top_rpm=8000.0, climb_rpm_s=14000.0, hump=0.3, knee=0.1, drag_rpm_s=6000.0,
    drag_still=0.3, uneven=0.05, idle_skips=0.1, overrun_pops=0.1, wander=0.002, sag=0.0, opens_s=0.5, opening_s=0.1,
    shuts_s=2.5, shutting_s=0.1, ends_s=3.0,
)  # fmt: skip
LINE_RPM = 5000.0


def revved(rule, verdict="revs-out", crank=CRANK):
    turned = turn_over(crank, rule, np.random.default_rng(4))
    return turned, truth_of(crank, turned, verdict)


def failing(kind, line_rpm=LINE_RPM):
    return revved(FAILING[kind](CRANK, np.random.default_rng(4), line_rpm), "breaks-down")[1]


def speed_at(truth, at_s):
    return truth.rpm[round(at_s / TRUTH_STEP_S)]


def test_a_sound_engine_ticks_over_gets_to_its_top_speed_and_back():
    _, truth = revved(sparks.always(CRANK, np.random.default_rng(1)))
    assert speed_at(truth, 0.3) == pytest.approx(CRANK.idle_rpm, rel=0.15)
    assert speed_at(truth, 2.4) == pytest.approx(CRANK.top_rpm, rel=0.04)
    assert speed_at(truth, 2.9) < 0.8 * CRANK.top_rpm
    assert truth.drop_outs == []
    assert truth.held == pytest.approx((0.55, 2.5))


def test_the_true_speed_is_the_reciprocal_of_the_time_between_firings():
    turned, truth = revved(FAILING["cut"](CRANK, np.random.default_rng(1), LINE_RPM))
    at_s = np.array(turned.at_s)
    true = np.interp((at_s[1:] + at_s[:-1]) / 2, np.arange(len(truth.rpm)) * TRUTH_STEP_S, truth.rpm)
    assert np.median(np.abs(true * np.diff(at_s) / 60 - 1)) < 2e-3


@pytest.mark.parametrize("kind", ["cut", "scatter", "half", "low"])
def test_an_engine_that_is_cut_at_a_speed_has_drop_outs_and_its_ceiling_there(kind):
    truth = failing(kind)
    assert len(truth.drop_outs) >= 2
    assert truth.ceiling_rpm == pytest.approx(LINE_RPM, rel=0.12)


def test_a_warm_failing_begins_late_and_lets_the_engine_get_there_first():
    truth = failing("warm")
    assert truth.drop_outs[0][0] > truth.held[0] + 0.5
    assert truth.rpm.max() > 1.3 * LINE_RPM


def test_an_earth_that_comes_and_goes_lasts_50_to_300_ms_each_time():
    gaps = failing("earth").drop_outs
    assert gaps
    assert all(end - start < 0.35 for start, end in gaps)


@pytest.mark.parametrize("kind", [*FINE])
def test_a_fine_engine_has_no_drop_outs_whatever_it_leaves_out(kind):
    bogs = replace(CRANK, bog_s=0.3)
    _, truth = revved(FINE[kind](bogs, np.random.default_rng(4)), crank=bogs)
    assert truth.drop_outs == []
    if kind == "steady":
        within = (truth.at_s > 1.5) & (truth.at_s < 2.5)
        assert 1 / np.mean(truth.fired[within]) == pytest.approx(4, abs=0.3)


def test_steady_four_stroking_fires_all_the_time_and_a_long_silence_does_not():
    _, four = revved(sparks.steadily_rich(CRANK, np.random.default_rng(2)))
    assert four.firing[100:250].all()
    _, silent = revved(lambda now, rng: NOT_LIT)
    assert not silent.firing[100:250].any()


def test_a_hold_that_is_short_or_not_shown_has_no_verdict():
    rule = sparks.always(CRANK, np.random.default_rng(1))
    assert revved(rule, crank=replace(CRANK, shuts_s=1.2, ends_s=1.5))[1].verdict == "unclear"
    late = revved(rule, crank=replace(CRANK, starts_at_s=1.0))[1]
    assert (late.verdict, late.held) == ("unclear", None)


@pytest.mark.parametrize("ratio_db", [-4.0, 3.0, 12.0])
def test_a_room_has_the_ratio_and_the_decay_asked_for(ratio_db):
    room = Room(ratio_db, decay_s=0.5, early=6, early_share=0.3, begins_s=0.005)
    answer = response(room, np.random.default_rng(3))
    assert drr_db(answer) == pytest.approx(ratio_db, abs=0.01)
    left = np.cumsum(answer[::-1] ** 2)[::-1]  # what is still to come (Schroeder)
    fallen_db = 10 * np.log10(left[MADE_HZ // 20] / left[MADE_HZ * 3 // 10])
    assert fallen_db == pytest.approx(60 * 0.25 / 0.5, abs=6)


@pytest.mark.parametrize("shape", SHAPES)
def test_every_pulse_is_as_loud_as_the_next_and_dies_away(shape):
    made = pulse(shape, 0.001)
    assert np.abs(made).max() == pytest.approx(1)
    assert np.abs(made[-20:]).max() < 0.1


def test_frames_in_which_the_noise_is_louder_do_not_count():
    _, truth = revved(sparks.always(CRANK, np.random.default_rng(1)))
    phone = Phone(60, 1, 7000, 3000, 0.0, 0.0, 0.1, 0.0, -3.0)
    rng = np.random.default_rng(2)
    engine = rng.normal(size=int(truth.seconds * 16000)) * np.where(
        np.arange(int(truth.seconds * 16000)) < 16000, 0.01, 1
    )
    _, heard = with_noise(engine, "hiss", truth, 10.0, phone, rng)
    assert not heard.firing[10:90].any()
    assert heard.firing[120:240].all()
