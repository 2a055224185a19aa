"""Every door to the rollers: what is pressed, which change answers it, and what it asks the rule of the rollers.

tests/jobs/test_roller_doors.py goes through each with each stop; DEVELOPERS.md shows the same table.
"""

from __future__ import annotations

from dataclasses import dataclass

from garage.core.roller_rule import STOPS, RollerAct, StopKind


@dataclass(frozen=True)
class Door:
    """words: as in the table of DEVELOPERS.md. address: the URL's name, empty where no page leads to the change.

    not_here: stops of the act that cannot stand at this door, each with its reason in the comment beside it.
    """

    words: str
    address: str
    change: str
    act: RollerAct
    not_here: frozenset[StopKind] = frozenset()

    @property
    def stops(self) -> tuple[StopKind, ...]:
        return tuple(kind for kind in STOPS[self.act] if kind not in self.not_here)


MARKED = frozenset({StopKind.MARKED})
DOORS = (
    Door("a step begun", "step-begin", "garage.changes.day.steps.begin", RollerAct.GO_ON),
    Door("a step put down as done", "", "garage.changes.day.steps.was_done", RollerAct.GO_ON),
    Door("the state set by hand", "visit-state", "garage.changes.visit.floor.say_on_the_rollers", RollerAct.GO_ON),
    Door(
        "a machine put there to be strapped down",
        "gate-on",
        "garage.changes.day.steps.put_on_the_rollers",
        RollerAct.STAND_THERE,
    ),
    Door("a step fixed by hand", "step-pin", "garage.changes.day.steps.pin", RollerAct.BE_PLANNED),
    Door("the plan of the day", "day-sheet", "garage.core.planning.day_rules.due_steps", RollerAct.BE_PLANNED),
    Door("a time given", "visit-time", "garage.changes.visit.visits.give_time", RollerAct.HAVE_TIME),
    Door("a time moved", "visit-move", "garage.changes.visit.visits.move", RollerAct.HAVE_TIME),
    Door("a time moved by its owner", "owner-move", "garage.changes.visit.visits.move_by_owner", RollerAct.HAVE_TIME),
    Door(
        "a new time picked by its owner",
        "owner-time",
        "garage.changes.visit.owner_choices.take_time",
        RollerAct.HAVE_TIME,
    ),
    Door("a freed time taken", "owner-offer", "garage.changes.visit.offers.accept", RollerAct.HAVE_TIME),
    Door("a freed time taken at the desk", "visit-offer", "garage.changes.visit.offers.accept", RollerAct.HAVE_TIME),
    Door("a freed time given", "", "garage.changes.visit.offers.give", RollerAct.HAVE_TIME),
    Door(
        "a machine left with us",
        "owner-leave-look",
        "garage.changes.visit.owner_choices.leave_with_us",
        RollerAct.HAVE_TIME,
        frozenset({StopKind.MUST_NOT_RUN, StopKind.MARKED}),  # time at the bench, which is where it belongs
    ),
    Door(
        "a machine booked online",
        "book-confirm",
        "garage.changes.visit.bookings.book_online",
        RollerAct.HAVE_TIME,
        frozenset({StopKind.MUST_NOT_RUN, StopKind.MARKED}),  # nothing is known of it yet: its check sheet comes after
    ),
    Door(
        "a time that lapsed taken again",
        "owner-confirm",
        "garage.changes.visit.confirming.confirm_by_owner",
        RollerAct.HAVE_TIME,
    ),
    Door(
        "a known machine booked",
        "desk-booking",
        "garage.changes.visit.bookings.book_at_the_desk",
        RollerAct.HAVE_TIME,
    ),
    Door(
        "a route by a person's word",
        "judgement-act",
        "diagnostics.changes.judgements.act_otherwise",
        RollerAct.HAVE_TIME,
        MARKED,  # it is the new word in place of the old one
    ),
    Door(
        "the owner's rev-out",
        "sheet-question",
        "diagnostics.changes.sheets.answer_rev_out",
        RollerAct.RUN_HARD,
    ),
    Door(
        "the owner's other tests with the engine running",
        "sheet-question",
        "diagnostics.changes.sheets.answer",
        RollerAct.RUN_HARD,
    ),
    Door("the owner's clip asked for", "sheet-clip", "diagnostics.reads.rev_out.rev_out_of", RollerAct.RUN_HARD),
    Door(
        "the rev-out at the gate",
        "gate-answer",
        "diagnostics.changes.gate_answers.answer",
        RollerAct.RUN_HARD,
        MARKED,  # the gate is where a person's word is lifted
    ),
    Door(
        "the gate passed at the bench",
        "gate-bench-end",
        "garage.changes.visit.gate_results.passed_at_the_bench",
        RollerAct.THROUGH_THE_GATE,
    ),
    Door("the gate passed", "gate-end", "garage.changes.visit.gate_results.passed", RollerAct.THROUGH_THE_GATE),
    Door("a failed gate overridden", "gate-override", "diagnostics.changes.gates.override", RollerAct.OVERRIDE),
    Door("a test ride", "card-write", "jobs.changes.cards.test_ride", RollerAct.BE_RIDDEN),
    Door("a smaller main jet", "card-write", "jobs.changes.cards.change_of_jet", RollerAct.JET_DOWN),
    Door("a run that says a smaller main jet", "run-file", "jobs.changes.runs.take", RollerAct.JET_DOWN),
)
