"""Practices on drawn weeks: `python -m tests.bench.weeks 40 tests/bench/weeks.md`.

The seed is not one that anything was chosen on. The note is written anew after each week, so a run that is ended early
leaves the weeks that it has done.
"""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path

from garage.core.planning.solving.solver import SolverModel
from garage.core.planning.weeks.compared import Comparison, compared, joined, table
from garage.core.planning.weeks.practices import Policy

SEED = 2027
POLICIES: Mapping[str, Policy] = {
    "this planner, guard 10": Policy(10),
    "guard 0, room 20 %": Policy(0, room=0.2),
}
HEAD = """# Practices on drawn weeks

{weeks} weeks of five days, each met by every practice, with the same machines, truths and minutes; seed {seed}.
`manage.py weeks --help` says what a day is, what the practices do and what is counted. Behind ± stands half of the
95 % interval over weeks; the comparisons are paired. Written by `make bench`.

The aim was 92 % of the useful minutes of a planner that knows the future, with promises kept as often as the plain rule
keeps them. The two pull against each other: a session that fills a gap to its last minute may run into the promise
behind it. On ten other weeks with waiting work (seed 51), on which the room was chosen:

| guard 0, idle people check what is left out, and room | useful min | of foresight's, % | kept, % |
|---|---|---|---|
| none | 399.5 | 90 | 84.0 |
| 10 % | 385.3 | 87 | 88.4 |
| 20 % | 377.1 | 85 | 89.5 |
| 25 %, and the same at the bench | 373.4 | 84 | 90.1 |
| earliest fit | 362.0 | 81 | 91.2 |
| knows the future | 444.4 | 100 | 93.9 |

Most of what is missing are minutes before a promise that are too few for any session of this workshop: 66 of 121 idle
minutes a day with guard 0 and no room (20 days, seed 41). Whoever knows the real minutes beforehand picks what fits.
"""


def note(weeks: int, found: tuple[Comparison, ...]) -> str:
    blocks = ("\n".join(["```", *table(one), "```"]) for one in found)
    return "\n".join([HEAD.format(weeks=weeks, seed=SEED), *blocks]) + "\n"


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("weeks", type=int)
    parser.add_argument("note", type=Path)
    chosen = parser.parse_args()
    SolverModel()  # its import counts for no plan
    found: tuple[Comparison, ...] = ()
    for week in range(chosen.weeks):
        one = compared(SEED, POLICIES, [week])
        found = joined(found, one) if found else one
        chosen.note.write_text(note(week + 1, found), encoding="utf-8")


if __name__ == "__main__":
    main()
