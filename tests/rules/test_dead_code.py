"""Nothing is kept that nothing uses."""

import pytest

from tests.rules.dead_code import REASONS, Dead, dead, is_excused, unused

PLANTED = "class PlantedBench:\n    def left_on_the_planted_bench(self): ...\n\n\nPlantedBench()\n"


@pytest.fixture(scope="module")
def found() -> list[Dead]:
    """Looked for once, with the planted code among it: that alone takes some seconds."""
    return unused(PLANTED)


def test_nothing_is_dead_but_what_was_planted(found):
    assert [(one.where, one.name) for one in dead(found)] == [("planted.py", "left_on_the_planted_bench")]


def test_every_reason_excuses_something(found):
    assert [reason for reason in REASONS if not any(is_excused(one, reason) for one in found)] == []
