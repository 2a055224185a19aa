"""What a clip's verdict is worth, by hand from its confidence c: odds of c to 1 − c for a ceiling that was heard."""

from __future__ import annotations

import numpy as np
import pytest

from diagnostics.core.bank.bank import Hearing
from diagnostics.core.findings import ClipVerdict, MachineFacts
from diagnostics.core.judging.heard_chances import contradiction, heard_chances, limiter_share, reached_share

SHOWN = ("clean", "smoky", "dies", "ceiling")
HEARING = Hearing(0.97, 0.95, 0.90, 0.5, 0.95, 0.90, 0.80)  # limiter from 95 %, none below 90 %
KNOWN = MachineFacts(design_rpm=10_000.0)


def heard(verdict: str, confidence: float, ceiling: float | None = None, machine: MachineFacts = KNOWN) -> list[float]:
    found = heard_chances(HEARING, machine, ClipVerdict(verdict, confidence, ceiling), SHOWN)
    assert found is not None
    return found.tolist()


def test_a_ceiling_well_below_the_design_speed_speaks_by_its_confidence() -> None:
    assert heard("breaks-down", 0.8, 6000.0) == pytest.approx([0.2, 0.2, 0.4, 0.8])  # 0.4 = √(0.2 × 0.8)


def test_a_clip_that_revs_out_speaks_the_other_way() -> None:
    assert heard("revs-out", 0.8) == pytest.approx([0.8, 0.8, 0.4, 0.2])
    assert heard("revs-out", 0.8, machine=MachineFacts()) == heard("revs-out", 0.8)


def revved_to(rpm: float) -> list[float] | None:
    found = heard_chances(HEARING, KNOWN, ClipVerdict("revs-out", 0.8, None, rpm), SHOWN)
    return None if found is None else found.tolist()


def test_a_clip_that_revs_out_far_below_the_design_speed_says_nothing() -> None:
    """In full from nine tenths, not at all below eight; in the middle the log weight is halved."""
    assert revved_to(6600.0) is None
    assert revved_to(8000.0) is None
    assert revved_to(9000.0) == pytest.approx(heard("revs-out", 0.8))
    assert revved_to(8500.0) == pytest.approx([0.8**0.5, 0.8**0.5, (0.2 * 0.8) ** 0.25, 0.2**0.5])


def test_a_clip_that_revs_out_counts_in_full_where_a_speed_is_unknown() -> None:
    assert reached_share(HEARING, None, 6600.0) == 1
    assert reached_share(HEARING, 10_000.0, None) == 1


def test_a_ceiling_at_the_limiter_speaks_like_a_clip_that_revs_out() -> None:
    assert heard("breaks-down", 0.8, 9500.0) == pytest.approx(heard("revs-out", 0.8))


def test_half_way_between_the_limits_a_ceiling_says_nothing() -> None:
    assert heard("breaks-down", 0.8, 9250.0) == pytest.approx([0.5, 0.5, 0.5, 0.5])


def test_a_quarter_of_the_way_the_smooth_step_is_five_thirty_seconds() -> None:
    """3 × (1/4)² − 2 × (1/4)³ = 5/32."""
    assert limiter_share(HEARING, 10_000, 9125) == pytest.approx(5 / 32)
    ceiling = 0.8 * 27 / 32 + 0.2 * 5 / 32
    assert heard("breaks-down", 0.8, 9125.0)[3] == pytest.approx(ceiling)
    assert heard("breaks-down", 0.8, 9125.0)[0] == pytest.approx(1 - ceiling)


@pytest.mark.parametrize(
    ("ceiling", "machine"), [(6000.0, MachineFacts()), (None, KNOWN)], ids=["no design speed", "no heard speed"]
)
def test_a_ceiling_that_cannot_be_compared_has_half_its_log_weight(
    ceiling: float | None, machine: MachineFacts
) -> None:
    halved = [0.2**0.5, 0.2**0.5, (0.2 * 0.8) ** 0.25, 0.8**0.5]
    assert heard("breaks-down", 0.8, ceiling, machine) == pytest.approx(halved)


def test_no_clip_is_surer_than_the_bank_allows() -> None:
    assert heard("revs-out", 1.0) == heard("revs-out", 0.97)
    assert heard("revs-out", 1.0)[3] == pytest.approx(0.03)


@pytest.mark.parametrize(
    "clip", [ClipVerdict("unclear", 0.9), ClipVerdict("revs-out", 0.5), ClipVerdict("breaks-down", 0.4, 6000.0)]
)
def test_an_unclear_or_unsure_clip_has_no_weight(clip: ClipVerdict) -> None:
    assert heard_chances(HEARING, KNOWN, clip, SHOWN) is None


def test_a_clip_hardly_surer_than_half_has_weight() -> None:
    assert heard("revs-out", 0.51)[0] == pytest.approx(0.51)


def test_the_limiter_is_sharp_where_both_limits_are_the_same() -> None:
    sharp = Hearing(0.97, 0.9, 0.9, 0.5, 0.95, 0.9, 0.9)
    assert [limiter_share(sharp, 10_000, rpm) for rpm in (8999, 9000, 9001)] == [0.0, 1.0, 1.0]


def test_a_limiter_needs_both_speeds() -> None:
    assert limiter_share(HEARING, None, 9000) is None
    assert limiter_share(HEARING, 9000, None) is None


@pytest.mark.parametrize(
    ("said", "strength"), [("clean", 0.6), ("smoky", 0.6), ("ceiling", 0.0), ("dies", 0.0), ("not-an-answer", 0.0)]
)
def test_only_a_word_that_it_revs_out_contradicts_a_heard_ceiling(said: str, strength: float) -> None:
    """Odds of 0.8 to 0.2: a ceiling with 0.8, twice that less one is 0.6."""
    assert contradiction(np.array([0.2, 0.2, 0.4, 0.8]), SHOWN, said) == pytest.approx(strength)


@pytest.mark.parametrize(("said", "strength"), [("clean", 0.0), ("smoky", 0.0), ("ceiling", 0.6)])
def test_only_the_word_ceiling_contradicts_a_clip_that_revs_out(said: str, strength: float) -> None:
    assert contradiction(np.array([0.8, 0.8, 0.4, 0.2]), SHOWN, said) == pytest.approx(strength)
