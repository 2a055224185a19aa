"""The set apart: its engine follows from its own physics, and its truth from the same rule as the others'."""

from dataclasses import replace

import numpy as np
import pytest

from tests.revouts.apart.engine import STRONG, TURN, Hand, Ignition, Machine, run, top_rad_s
from tests.revouts.apart.sets import NEVER
from tests.revouts.apart.sound import box_response, drawn_path
from tests.revouts.wide.crank import truth_of
from tests.revouts.wide.rooms import drr_db

MACHINE = Machine(
    fires_per_turn=1.0, inertia=0.001, push_nm=2.5, breathes_rad_s=750.0, steepness=5.0, tuned_rad_s=600.0, tuned=0.2,
    rubs_nm=0.4, rubs_faster_nm=0.6, squeeze_nm=1.0, idle_rad_s=150.0, scavenged=0.8, scavenged_shut=0.6, roams=0.01,
    lights_from=0.45, lights_width=0.02, rough=0.05, starved=0.0, bogs_s=0.0, flutter=0.0,
)  # fmt: skip
HAND = Hand(1.0, 1430.0, 0.4, 0.2, 2.2, 0.1, 2.4, 0.0, ())
SOUND = Ignition(STRONG, 1e5, 2.0, NEVER, 0.0, 1.0, 0.03, 0.3, 0.0, NEVER, (0.0, 0.0), NEVER, 0.0, (0.0, 0.1), 0.0)


def revved(machine=MACHINE, ignition=SOUND):
    return truth_of(HAND, run(machine, HAND, ignition, np.random.default_rng(3)), "revs-out")


def test_a_sound_engine_gets_to_where_torque_and_friction_balance():
    truth = revved()
    assert truth.rpm[-40] == pytest.approx(top_rad_s(MACHINE) * 60 / TURN, rel=0.1)
    assert truth.drop_outs == []


def test_badly_scavenged_it_fires_every_second_turn_and_loses_no_spark():
    truth = revved(replace(MACHINE, scavenged=0.38))
    within = (truth.at_s > 1.2) & (truth.at_s < 2.2)
    assert np.mean(truth.fired[within]) == pytest.approx(0.5, abs=0.06)
    assert truth.drop_outs == []


@pytest.mark.parametrize(
    "ignition",
    [
        replace(SOUND, off_rad_s=500.0, on_rad_s=470.0),
        replace(SOUND, off_rad_s=500.0, off_s=(0.08, 0.3)),
        replace(SOUND, volts=2.0, fade=4.0, weaker_rad_s=500.0, jitter=0.1, fouled=0.8),
    ],
)
def test_a_spark_that_fails_from_a_speed_on_keeps_the_engine_there(ignition):
    truth = revved(ignition=ignition)
    assert sum(end - start for start, end in truth.drop_outs) > 0.2
    assert np.percentile(truth.rpm[100:220], 85) == pytest.approx(500 * 60 / TURN, rel=0.12)


def test_a_box_has_the_ratio_asked_for():
    path = drawn_path(np.random.default_rng(5))
    assert drr_db(box_response(path, np.random.default_rng(5))) == pytest.approx(path.drr_db, abs=0.01)
