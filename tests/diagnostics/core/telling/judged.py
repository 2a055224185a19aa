"""Judgements to tell of: a set-up with these answers, unless something else is booked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from diagnostics.core.assess import assess
from diagnostics.core.findings import read_case
from diagnostics.core.judging.judgement import Judgement
from diagnostics.reads.bank import the_bank

RICH = {"trouble": "four-strokes", "where": "top", "rev_out": "smoky", "plug": "black-dry", "half_choke": "worse"}


def judged(booked: str = "set-up", *, remarks: Sequence[str] = (), **answers: Any) -> Judgement:
    line = {"case": "w", "booked": booked, "answers": answers, "remarks": list(remarks)}
    return assess(the_bank(), read_case(the_bank(), line))
