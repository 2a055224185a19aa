"""Facts of runs without a database, valid with no argument."""

from __future__ import annotations

from jobs.core.runs.air import Air
from jobs.core.runs.curve import PowerCurve
from jobs.core.runs.run_facts import RunFacts

THIN, USUAL = Air(900, 25, 0), Air(1000, 25, 0)


def run(letter: str = "A", *, jet: str = "98", standard: str = "sae", air: Air | None = USUAL) -> RunFacts:
    fitted = {"main_jet": jet}
    return RunFacts(f"run {letter}", letter, PowerCurve((5000, 5050), (1.0, 2.0)), air, standard, fitted)
