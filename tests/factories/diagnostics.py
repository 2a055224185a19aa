"""A visit with its check sheet filled, and a gate with everything in order: a test states only what it is about."""

from __future__ import annotations

from typing import Any

from diagnostics.changes import sheets
from diagnostics.core.gate import ITEMS, GateSheet
from garage.models.visits import Visit

HEALTHY = {
    "trouble": "none",
    "where": "everywhere",
    "changed": ["nothing"],
    "nipped": "no",
    "pinking": "no",
    "rev_out": "clean",
}
FALSE_CEILING = HEALTHY | {"trouble": "misfires", "where": "top", "rev_out": "bounces", "came_on": "suddenly"}
PINKING = HEALTHY | {"trouble": "down-on-power", "pinking": "yes"}


def answered(visit: Visit, answers: dict[str, Any], **more: Any) -> Visit:
    """The owner's answers, put down one by one in the order given."""
    given = answers | more
    for question, answer in given.items():
        if question == "rev_out":
            if "yes" not in (given.get("nipped"), given.get("pinking")):
                sheets.answer_rev_out(visit, given=answer, ticks=[])
        else:
            sheets.answer(visit, question=question, given=answer)
    return visit


def gate_sheet(**given: Any) -> GateSheet:
    """Everything in order, clean rev-out, timing in spec for 17 degrees; bad=[item ids] spoils lines."""
    bad = given.pop("bad", ())
    values: dict[str, Any] = {
        "results": {item.id: "bad" if item.id in bad else "ok" for item in ITEMS},
        "words": {},
        "rev_out": "clean",
        "strobe": ((1400.0, 17.0), (9000.0, 16.5)),
        "second_person": "Person within call",
    }
    return GateSheet(**values | given)
