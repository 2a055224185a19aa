from __future__ import annotations

from jobs.core.runs.air import Air
from jobs.core.watch_words import ALWAYS, KEEP_IT, watch_words


def test_a_machine_of_which_nothing_is_known_is_watched_as_any():
    assert watch_words(main_jet=None, air=None) == [ALWAYS]


def test_a_smaller_main_jet_is_said_with_what_it_looks_like_when_it_is_too_lean():
    said = watch_words(main_jet=("98", "95"), air=None)
    assert said[0].startswith("It has a smaller main jet: 95 in place of 98. If it runs hot, pinks or goes flat")
    assert said[1:] == [KEEP_IT, ALWAYS]


def test_what_the_cold_does_is_said_by_the_square_root_rule():
    # density goes with 1/T: 1 - sqrt(273.15 / 298.15) = 4.3 %, a little more for the water that warm air holds
    said = watch_words(main_jet=None, air=Air(1000, 25, 40))
    assert "set up in air of 25 °C. At 0 °C the air is denser and the same jets are about 4 % leaner" in said[0]
    assert "a rule of thumb" in said[0]


def test_air_that_is_cold_already_is_not_compared():
    assert watch_words(main_jet=None, air=Air(1000, 0, 40)) == [ALWAYS]
