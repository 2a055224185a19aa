"""The check sheet as filled so far: what applies to this machine, what must be answered, what comes next, and whether
the rev-out may be done.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from diagnostics.core.asking.questions import must_ask, next_by_worth, sheet_questions
from diagnostics.core.bank.bank import Question
from diagnostics.core.findings import Case
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.core.rev_out_safety import ASKED_BEFORE, IS_AUTOMATIC, RUNS_THE_ENGINE, why_not, why_not_run
from diagnostics.models.sheets import Finding, Sheet
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import VisitCase, visit_case
from diagnostics.reads.learning import asking_bank
from garage.core.roller_rule import RollerAct, stop_for
from garage.models.visits import Visit
from garage.reads.roller_facts import roller_facts_of


@dataclass(frozen=True)
class FilledSheet:
    known: VisitCase

    @property
    def sheet(self) -> Sheet | None:
        return self.known.sheet

    @property
    def findings(self) -> Mapping[str, Finding]:
        return self.known.findings

    @property
    def ticks(self) -> tuple[str, ...]:
        return self.known.ticks

    @property
    def case(self) -> Case:
        return self.known.case

    @cached_property
    def asked(self) -> tuple[Question, ...]:
        """Every question that applies to this machine, but for tests that its owner must not do now."""
        asked = sheet_questions(the_bank(), self.case.machine, self.case.answers)
        return tuple(question for question in asked if not self.why_not_now(question.id))

    @cached_property
    def only_earlier(self) -> frozenset[str]:
        """Tests that the owner must not do now, of which what they found earlier may be told: all but the rev-out."""
        answers = {asked: said for asked, said in self.case.answers.items() if asked not in ASKED_BEFORE}
        apply = sheet_questions(the_bank(), self.case.machine, answers)  # whatever speaks against doing them
        return frozenset(q.id for q in apply if q.id != REV_OUT and self.why_not_now(q.id))

    @cached_property
    def why_not(self) -> tuple[str, ...]:
        """The reasons why the owner must not do the rev-out, as sentences; empty if it may be done."""
        return why_not(self.case, is_stopped=self._is_stopped)

    @cached_property
    def _is_stopped(self) -> bool:
        return stop_for(RollerAct.RUN_HARD, roller_facts_of(self.known.visit)) is not None

    def why_not_now(self, question_id: str) -> tuple[str, ...]:
        """Why the owner must not do this test now, as sentences; empty if it may be done."""
        if question_id == REV_OUT:
            return self.why_not
        return why_not_run(self.case, is_stopped=self._is_stopped) if question_id in RUNS_THE_ENGINE else ()

    @cached_property
    def in_order(self) -> tuple[str, ...]:
        """The answered questions of its pages, in the order in which they were first answered: the way back."""
        first = dict.fromkeys(self.known.visit.findings.order_by("id").values_list("question", flat=True))
        pages = {question.id for question in self.asked}
        return tuple(asked for asked in first if asked in pages and asked in self.findings)

    @property
    def asks_gearbox(self) -> bool:
        """Whether the machine's gearbox is unknown, so that the owner is asked."""
        return IS_AUTOMATIC in self.ticks or "gearbox" not in self.known.values["machine"]

    @property
    def must(self) -> tuple[str, ...]:
        """Questions that must be answered or passed over before the sheet can be sent."""
        ids = {question.id for question in self.asked}
        needed = (question.id for question in must_ask(the_bank(), self.case))
        return tuple(id_ for id_ in needed if id_ in ids and id_ not in self.findings)

    @property
    def count_done(self) -> int:
        return sum(question.id in self.findings for question in self.asked)

    def has_page_for(self, question_id: str) -> bool:
        """A question left to the bench has a page too, which says why, and so has every answer, to change it."""
        is_asked = any(question.id == question_id for question in self.asked)
        return is_asked or question_id in RUNS_THE_ENGINE or question_id in self.findings

    def next_after(self, question_id: str = "") -> Question | None:
        """What to ask next, other than the question just shown; None if nothing more is worth asking."""
        barred = {question.id for question in the_bank().questions} - {question.id for question in self.asked}
        bank = asking_bank(self.known.bank, self.known.shop.stopped_in_time_pence)
        return next_by_worth(bank, self.case, {*self.findings, *barred, question_id})


def filled_sheet(visit: Visit) -> FilledSheet:
    return FilledSheet(visit_case(visit))
