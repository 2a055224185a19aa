"""The check sheet as its pages show it: one question, the list of all, what is left to try at the machine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from diagnostics.core.bank import NUMBER, SEVERAL, Question
from diagnostics.core.evidence import REV_OUT
from diagnostics.core.findings import read_machine
from diagnostics.core.questions import sheet_questions
from diagnostics.core.rev_out_safety import ASKED_BEFORE, IS_AUTOMATIC, RUNS_THE_ENGINE, TICKS, first_to_ask, why_not
from diagnostics.models.sheets import Finding, Sheet
from diagnostics.reads.bank import question_or_none, the_bank
from diagnostics.reads.case import answer_words, facts_of, sheet_of, standing, ticks_of, weighing
from garage.models.visits import Visit


@dataclass(frozen=True)
class Line:
    """One question of the overview. said: the standing answer in words, empty where it was not asked yet."""

    question: Question
    said: str
    is_to_try: bool
    is_ours: bool  # the workshop put it down
    note: str = ""  # why it is left to the bench


@dataclass(frozen=True)
class SheetPage:
    """must: questions that must be answered before it can be sent. next_question: where it goes on, None at the end."""

    visit: Visit
    sheet: Sheet | None
    lines: tuple[Line, ...]
    next_question: Question | None
    must: tuple[str, ...]
    why_not: tuple[str, ...]
    ticks: tuple[str, ...]
    is_newer: bool
    count_done: int
    count_about: int

    @property
    def answered(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if line.said and not line.is_to_try)

    @property
    def to_try(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if line.is_to_try)

    @property
    def is_sent(self) -> bool:
        return self.sheet is not None and self.sheet.sent_at is not None


@dataclass(frozen=True)
class Pick:
    """One answer to choose: its words, the part after a colon smaller below it."""

    id: str
    head: str
    tail: str
    is_chosen: bool


@dataclass(frozen=True)
class QuestionPage:
    """chosen: the standing answer as kept, or None. why_not: what keeps the owner from the test on this page."""

    visit: Visit
    question: Question
    chosen: Any
    number: int
    about: int
    ticks: tuple[tuple[str, str, bool], ...]  # name, words, whether it stands
    why_not: tuple[str, ...]
    next_question: Question | None
    ask_first: str  # the rev-out only: a question that must be asked before it
    choices: tuple[Pick, ...]

    @property
    def is_several(self) -> bool:
        return self.question.kind == SEVERAL

    @property
    def is_number(self) -> bool:
        return self.question.kind == NUMBER

    @property
    def has_number(self) -> bool:
        return isinstance(self.chosen, int | float)

    @property
    def is_rev_out(self) -> bool:
        return self.question.id == REV_OUT


@dataclass(frozen=True)
class _Filled:
    """The sheet as it stands, read once for a page."""

    sheet: Sheet | None
    findings: dict[str, Finding]
    ticks: tuple[str, ...]
    asked: tuple[Question, ...]
    why_not: tuple[str, ...]
    may_be_told: bool  # an owner of an automatic was never to do the test
    asks_gearbox: bool  # whether it has a neutral is not known of its kind

    def next_after(self, question_id: str = "") -> Question | None:
        """The next question not done, looked for behind the one just seen and then from the beginning."""
        ids = [question.id for question in self.asked]
        start = ids.index(question_id) + 1 if question_id in ids else 0
        ordered = self.asked[start:] + self.asked[:start]
        return next((q for q in ordered if q.id not in self.findings and q.id != question_id), None)


def _filled(visit: Visit) -> _Filled:
    sheet, findings = sheet_of(visit), standing(visit)
    facts = facts_of(visit, sheet)
    machine, ticks = read_machine(facts), ticks_of(sheet)
    answers = weighing(findings)
    asked = sheet_questions(the_bank(), machine, answers)
    if set(ticks) - {IS_AUTOMATIC}:
        asked = tuple(question for question in asked if question.id not in RUNS_THE_ENGINE)
    return _Filled(
        sheet,
        findings,
        ticks,
        asked,
        why_not(machine, answers, ticks),
        machine.gearbox != "automatic",
        IS_AUTOMATIC in ticks or "gearbox" not in facts,
    )


def sheet_page(visit: Visit) -> SheetPage:
    filled = _filled(visit)
    sheet = filled.sheet
    sent_at = sheet.sent_at if sheet else None
    return SheetPage(
        visit=visit,
        sheet=sheet,
        lines=tuple(_lines(filled)),
        next_question=filled.next_after(),
        must=_must(filled),
        why_not=filled.why_not,
        ticks=tuple(TICKS[name] for name in filled.ticks),
        is_newer=sent_at is not None and any(row.at > sent_at for row in filled.findings.values()),
        count_done=sum(question.id in filled.findings for question in filled.asked),
        count_about=len(filled.asked),
    )


def _lines(filled: _Filled) -> list[Line]:
    ids = {question.id for question in filled.asked}
    lines = []
    for question in the_bank().questions:
        row = filled.findings.get(question.id)
        if question.id not in ids and row is None:
            continue
        is_barred = question.id not in ids or (question.id == REV_OUT and bool(filled.why_not))
        said = answer_words(question.id, row.answer) if row else ""
        lines.append(
            Line(
                question=question,
                said=said,
                is_to_try=row is not None and row.answer == Finding.NOT_TRIED and not is_barred,
                is_ours=row is not None and row.source == Finding.WORKSHOP,
                note="left to the bench" if is_barred and question.id in RUNS_THE_ENGINE else "",
            )
        )
    return lines


def must_be_done(visit: Visit) -> tuple[str, ...]:
    """Questions always asked that are neither answered nor passed over yet: without them no sheet is finished."""
    return _must(_filled(visit))


def _must(filled: _Filled) -> tuple[str, ...]:
    return tuple(q.id for q in filled.asked if q.always and q.id not in filled.findings)


def question_page(visit: Visit, question_id: str) -> QuestionPage | None:
    """None for a question that the bank does not have or that this machine's owner is not asked."""
    question = question_or_none(question_id)
    if question is None:
        return None
    filled = _filled(visit)
    is_barred = question not in filled.asked
    if is_barred and question_id not in RUNS_THE_ENGINE:
        return None
    row = filled.findings.get(question_id)
    number = sum(q.id in filled.findings for q in filled.asked if q.id != question_id) + 1
    return QuestionPage(
        visit=visit,
        question=question,
        chosen=row.answer if row else None,
        number=min(number, len(filled.asked)),
        about=len(filled.asked),
        ticks=tuple(
            (name, words, name in filled.ticks)
            for name, words in TICKS.items()
            if name != IS_AUTOMATIC or filled.asks_gearbox
        ),
        why_not=filled.why_not if question_id in RUNS_THE_ENGINE and (is_barred or question_id == REV_OUT) else (),
        next_question=filled.next_after(question_id),
        ask_first=first_to_ask(filled.findings) or "" if question_id == REV_OUT else "",
        choices=picks(question, row.answer if row else None),
    )


def picks(question: Question, chosen: Any) -> tuple[Pick, ...]:
    """The bank's answers as buttons or ticks."""
    given = chosen if isinstance(chosen, list) else [chosen]
    parts = [(choice.id, *choice.say.partition(": ")) for choice in question.answers]
    return tuple(Pick(id_, head, tail, id_ in given) for id_, head, _, tail in parts)


def goes_on_at(visit: Visit, after: str) -> str | None:
    """The question to show after an answer, or None at the end.

    What was said of nipping up or pinking may keep the owner from the rev-out: its page says so in its turn.
    """
    filled = _filled(visit)
    if after == ASKED_BEFORE[-1] and filled.why_not and filled.may_be_told:
        return REV_OUT
    following = filled.next_after(after)
    return following.id if following else None
