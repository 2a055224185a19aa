"""The figures of a domain are what was measured of its clips."""

import numpy as np

from tests.bench.figures import Measured
from tests.bench.yard import domain_lines


def measured(verdict, truth, snr_db=20.0, drr_db=5.0):
    return Measured(
        kind="cut", codec="wav", noise="wind", snr_db=snr_db, truth=truth, verdict=verdict, confidence=0.9,
        errors=np.array([0.01, np.nan]), octaves=0, overlap=0.8, ceiling_error=None, drop_outs=np.zeros(3),
        seconds=1.0, took_s=0.1, drr_db=drr_db,
    )  # fmt: skip


BREAKS, FINE = "breaks-down", "revs-out"
CLIPS = [
    measured(BREAKS, BREAKS),
    measured(FINE, BREAKS, drr_db=-1.0),
    measured(BREAKS, FINE, snr_db=5.0),
    measured("unclear", FINE, drr_db=None),
    measured("unclear", "unclear"),
]


def cells(lines, figure):
    return next([cell.strip() for cell in line.split("|")[2:-1]] for line in lines if line.startswith(f"| {figure}"))


def test_a_domain_is_measured_at_10_db_and_over_all():
    lines = domain_lines("saws", CLIPS)
    assert cells(lines, "right of all %")[:2] == ["33.33", "25"]
    assert cells(lines, "fine called breaks-down %")[:2] == ["0", "50"]
    assert cells(lines, "broken called revs-out %")[:2] == ["50", "50"]
    assert cells(lines, "unclear %")[:2] == ["33.33", "25"]
    assert cells(lines, "frames within 3 % of all, %")[:2] == ["50", "50"]


def test_walls_and_what_cannot_be_answered_are_told_apart():
    lines = domain_lines("saws", CLIPS)
    assert cells(lines, "direct to reverberant below 0 dB: right %")[:2] == ["0 of 1", "0 of 1"]
    assert cells(lines, "not answerable: unclear % of 1")[1] == "100"


def test_a_domain_that_is_not_there_is_said_to_be_missing():
    assert "not beside the project" in domain_lines("foreign", [])[-1]
