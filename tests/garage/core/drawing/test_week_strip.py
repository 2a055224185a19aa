"""The ruled strip of a place's day: shares follow one another, and no hour is longer than another day's."""

from garage.core.drawing.week_strip import BAR_PX, HATCH_PX, WIDTH, drawn
from garage.core.planning.week import PlaceSums, RiskyVisit

RISKY = (RiskyVisit("41", 90, 0.5),)
LETTER_PX = 17  # of the page's words, beside a strip drawn as wide as it is


def test_what_is_sold_in_doubt_held_and_kept_follow_one_another():
    strip = drawn(PlaceSums("roller", 480, 240, 30, 60, 150, RISKY), longest_min=718)
    assert [(bar.kind, bar.x, bar.width) for bar in strip.bars] == [
        ("sold", 1.0, 150.0),
        ("risky", 151.0, 90.0),
        ("kept", 241.0, 90.0),
    ]
    assert (strip.line, len(strip.marks)) == (481.0, 9)


def test_hatches_lie_within_what_is_kept():
    strip = drawn(PlaceSums("bench", 480, 100, 0, 60, 320), longest_min=718)
    (kept,) = (bar for bar in strip.bars if bar.kind == "kept")
    assert len(strip.hatches) == 60 // HATCH_PX
    assert all(kept.x < x <= kept.x + kept.width for x in strip.hatches)


def test_nothing_taken_is_a_bare_rule_and_a_closed_day_has_none():
    assert drawn(PlaceSums("roller", 480, 0, 0, 0, 480), longest_min=480).bars == ()
    strip = drawn(PlaceSums("roller", 0, 0, 0, 0, 0), longest_min=0)
    assert (strip.line, strip.marks, strip.bars) == (1.0, (1.0,), ())


def test_what_is_sold_beyond_the_day_stays_within_the_drawing():
    strip = drawn(PlaceSums("roller", 60, 600, 0, 0, 0), longest_min=600)
    assert max(bar.x + bar.width for bar in strip.bars) <= WIDTH
    assert strip.line < WIDTH / 5


def test_a_bar_is_thinner_than_the_letters():
    assert BAR_PX < LETTER_PX
