"""Nothing is kept that nothing uses."""

from tests.rules.dead_code import REASONS, dead_code, is_excused, unused


def test_nothing_is_dead():
    assert [str(one) for one in dead_code()] == []


def test_unused_code_is_found():
    planted = "class Bench:\n    def left_on_the_bench(self): ...\n\n\nBench()\n"
    assert [one.name for one in dead_code(planted) if one.where == "planted.py"] == ["left_on_the_bench"]


def test_every_reason_excuses_something():
    found = unused()
    assert [reason for reason in REASONS if not any(is_excused(one, reason) for one in found)] == []
