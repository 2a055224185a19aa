"""A visit with its check sheet filled, and a gate with everything in order: a test states only what it is about."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from diagnostics.changes import sheets
from diagnostics.core.gate import ITEMS, GateSheet
from diagnostics.models.gates import Gate
from garage.core import states
from garage.models.visits import Visit
from tests.factories import garage

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


def gate_over(**given: Any) -> Gate:
    """A gate that is over, of a machine that is here; machine, visit and state may be given."""
    machine, state = given.pop("machine", None), given.pop("state", states.HERE)
    visit = given.pop("visit", None) or garage.visit(machine=machine, state=state)
    now = timezone.now()
    values = {"visit": visit, "begun_at": now, "ended_at": now, "passed": True, "by": given.pop("by", None)}
    values["by"] = values["by"] or garage.person()
    return Gate.objects.create(**values | given)
