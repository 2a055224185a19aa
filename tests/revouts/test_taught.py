"""The taught sounds are what they are said to be: by the model's truth, by their files, by the project's own ear."""

import re
from functools import cache

import av
import numpy as np
import pytest

from diagnostics.core.guides.sounds import SOUNDS, UNNAMED
from tests.revouts.taught import DESIGN_RPM, FOLDER, LESSONS, heard_in, mark_of, picture, run_of
from tests.revouts.taught_trace import turns_in

MOST_BYTES = 60_000
NAMES = [lesson.name for lesson in LESSONS]
TOLD = {sound.name: sound for sound in (*SOUNDS, *UNNAMED)}
STATIC = FOLDER.parent


@cache
def ran(name):
    return run_of(LESSONS[NAMES.index(name)])[:2]


def spacings(name):
    """Turns from one firing to the next, with the throttle open and the engine past its climb."""
    turns, truth = ran(name)
    at_s = np.array(turns.at_s)
    open_ = (at_s >= truth.held[0] + 0.3) & (at_s <= truth.held[1])
    return np.diff(np.flatnonzero(open_ & np.array(turns.fired)))


@pytest.mark.parametrize("name", NAMES)
def test_a_sound_is_small_and_as_long_as_its_truth(name):
    path = STATIC / TOLD[name].sound_file
    assert path.stat().st_size < MOST_BYTES
    with av.open(path) as file:
        stream = file.streams.audio[0]
        assert (stream.codec_context.name, stream.channels) == ("mp3float", 1)
        assert file.duration / 1e6 == pytest.approx(ran(name)[1].seconds, abs=0.1)
    assert TOLD[name].seconds == round(ran(name)[1].seconds, 2)


@pytest.mark.parametrize("lesson", LESSONS, ids=NAMES)
def test_a_picture_is_drawn_from_the_truth(lesson):
    drawn = (STATIC / TOLD[lesson.name].picture_file).read_text(encoding="utf-8")
    assert drawn == picture(lesson, *ran(lesson.name))


@pytest.mark.parametrize("name", NAMES)
def test_another_sound_or_picture_has_another_address(name):
    told = TOLD[name]
    drawn = (STATIC / told.picture_file).read_text(encoding="utf-8")
    assert told.mark == mark_of((STATIC / told.sound_file).read_bytes(), drawn)


def test_no_other_file_lies_beside_them():
    files = [f"{told.name}.{told.mark}.{end}" for told in TOLD.values() for end in ("mp3", "svg")]
    assert sorted(path.name for path in FOLDER.iterdir()) == sorted(files)


def hundreds(words):
    """The speeds that are named, but for the one on paper."""
    return {int(rpm.replace(",", "")) for rpm in re.findall(r"[0-9],[0-9]00", words)} - {DESIGN_RPM}


@pytest.mark.parametrize("name", NAMES)
def test_each_speed_that_is_told_is_the_engine_s(name):
    """Tickover, the highest speed, the ceiling and where the hold ends, to the nearest hundred."""
    truth = ran(name)[1]
    grid_s = np.arange(len(truth.rpm)) / 100
    at_the_end = np.interp(truth.held[1] - 0.05, grid_s, truth.rpm)
    true = [truth.idle_rpm, truth.rpm.max(), truth.ceiling_rpm or truth.rpm.max(), at_the_end]
    named = hundreds(TOLD[name].tells + TOLD[name].shows)
    assert named <= {round(float(rpm), -2) for rpm in true}


@pytest.mark.parametrize(
    ("name", "drawn"),
    [
        ("clean", "########################"),
        ("rich", "#######.#.#.#...#.#.#.#."),
        ("very-rich", "#...#...#...#...#...#..."),
        ("false-ceiling", ".........########......."),
        ("fails-warm", "############....#......."),
        ("limiter", "############.......#####"),
        ("unnamed-2", "#...#...#...#...#...#..."),
    ],
)
def test_the_turns_drawn_apart_are_those_that_are_told(name, drawn):
    lesson = LESSONS[NAMES.index(name)]
    assert "".join("#" if fired else "." for fired in turns_in(ran(name)[0], lesson.turns_from_s)[2]) == drawn


def test_the_clean_one_fires_every_turn_and_passes_its_design_speed():
    assert np.mean(spacings("clean") == 1) > 0.99
    assert ran("clean")[1].rpm.max() > DESIGN_RPM


def test_the_rich_one_changes_its_rhythm_and_still_gets_there():
    shares = [np.mean(spacings("rich") == turns) for turns in (1, 2, 3)]
    assert min(shares) > 0.15
    assert ran("rich")[1].rpm.max() > DESIGN_RPM


def test_the_very_rich_ones_fire_every_fourth_turn_and_go_on_climbing():
    for name in ("very-rich", "unnamed-2"):
        assert np.mean(spacings(name) == 4) > 0.9
        rpm = ran(name)[1].rpm
        assert rpm[440] > rpm[340] > rpm[240]


def test_the_false_ceilings_stay_well_below_the_design_speed():
    for name in ("false-ceiling", "unnamed-1"):
        assert ran(name)[1].rpm.max() < 0.87 * DESIGN_RPM
        assert len(ran(name)[1].drop_outs) > 5
    assert "eleven" in TOLD["false-ceiling"].shows
    assert len(ran("false-ceiling")[1].drop_outs) == 11


def test_those_that_fail_warm_get_there_first_and_lose_it_then():
    for name, clean_s in (("fails-warm", 1.4), ("unnamed-3", 1.7)):
        truth = ran(name)[1]
        assert truth.drop_outs[0][0] - truth.held[0] == pytest.approx(clean_s, abs=0.05)
        assert f"from {truth.drop_outs[0][0]:.1f} seconds" in TOLD[name].shows
        assert truth.rpm.max() > DESIGN_RPM
        assert np.interp(truth.held[1] - 0.1, np.arange(len(truth.rpm)) / 100, truth.rpm) < 0.8 * DESIGN_RPM


def test_the_limiter_cuts_evenly_at_the_design_speed():
    truth = ran("limiter")[1]
    assert truth.rpm.max() == pytest.approx(DESIGN_RPM, rel=0.02)
    begins = [gap[0] for gap in truth.drop_outs]
    assert np.ptp(np.diff(begins)) < 0.03
    assert round(1 / np.mean(np.diff(begins))) == 9
    assert "nine times a second" in TOLD["limiter"].tells


@pytest.mark.parametrize(("name", "verdict"), [("very-rich", "revs-out"), ("false-ceiling", "breaks-down")])
def test_our_own_ear_tells_the_two_apart_that_are_mistaken_for_each_other(name, verdict):
    """The script that writes them has the ear hear each, and refuses a wrong one."""
    assert heard_in(STATIC / TOLD[name].sound_file).verdict == verdict
