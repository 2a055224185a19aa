"""The pages of the check sheet: one question, the list of all, and what is still to try at the machine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from diagnostics.core.asking.progress import SheetProgress
from diagnostics.core.bank.bank import NUMBER, SEVERAL, Question
from diagnostics.core.guides.guide import Guide
from diagnostics.core.guides.guides import guides_for_question
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.core.rev_out_safety import ASKED_BEFORE, IS_AUTOMATIC, RUNS_THE_ENGINE, TICKS, first_to_ask
from diagnostics.core.telling.bank_told import told_question
from diagnostics.models.sheets import Finding, Sheet
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import answer_words
from diagnostics.reads.filled_sheet import FilledSheet, filled_sheet
from garage.core.text.languages import told
from garage.models.visits import Visit


@dataclass(frozen=True)
class SheetLine:
    """One question of the overview. said: the current answer in words, empty if there is none yet."""

    question: Question
    said: str
    is_to_try: bool
    is_ours: bool  # entered by the workshop
    note: str = ""  # why it is left to the bench
    is_only_earlier: bool = False  # not to be done now; what was found earlier may be told


@dataclass(frozen=True)
class SheetPage:
    """must: questions that must be answered before it can be sent. next_question: None at the end."""

    visit: Visit
    sheet: Sheet | None
    lines: tuple[SheetLine, ...]
    next_question: Question | None
    must: tuple[str, ...]
    why_not: tuple[str, ...]
    ticks: tuple[str, ...]
    is_newer: bool
    progress: SheetProgress

    @property
    def answered(self) -> tuple[SheetLine, ...]:
        return tuple(line for line in self.lines if line.said and not line.is_to_try)

    @property
    def to_try(self) -> tuple[SheetLine, ...]:
        return tuple(line for line in self.lines if line.is_to_try)

    @property
    def asks_for_clip(self) -> bool:
        """The rev-out may be done, and so may be recorded."""
        answered = {line.question.id for line in self.lines if line.said}
        return not self.why_not and first_to_ask(answered) is None

    @property
    def left_out(self) -> tuple[SheetLine, ...]:
        """Questions that were not asked but may be answered anyway."""
        return tuple(line for line in self.lines if not line.said and not line.note)

    @property
    def is_sent(self) -> bool:
        return self.sheet is not None and self.sheet.sent_at is not None


@dataclass(frozen=True)
class Pick:
    """One answer to choose: its words, with any part after a colon set smaller below."""

    id: str
    head: str
    tail: str
    is_chosen: bool


@dataclass(frozen=True)
class QuestionPage:
    """chosen: the current answer as stored, or None. why_not: why the owner must not do the test on this page."""

    visit: Visit
    question: Question
    chosen: Any
    progress: SheetProgress
    before: str  # the question answered before this one, or empty
    after: str  # the one that follows if this answer is left as it is; empty if it has none, or at the end
    ticks: tuple[tuple[str, str, bool], ...]  # name, words, whether it is ticked
    why_not: tuple[str, ...]
    next_question: Question | None
    ask_first: str  # the rev-out only: a question that must be answered first
    choices: tuple[Pick, ...]
    guides: tuple[Guide, ...]  # how it is done; none if it must not be

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

    @property
    def asks_for_clip(self) -> bool:
        return self.is_rev_out and not self.why_not


def sheet_page(visit: Visit) -> SheetPage:
    filled = filled_sheet(visit)
    sheet, following = filled.sheet, filled.next_after()
    sent_at = sheet.sent_at if sheet else None
    return SheetPage(
        visit=visit,
        sheet=sheet,
        lines=tuple(_lines(filled)),
        next_question=following,
        must=filled.must,
        why_not=filled.why_not,
        ticks=tuple(told(TICKS[name]) for name in filled.ticks),
        is_newer=sent_at is not None and any(row.at > sent_at for row in filled.findings.values()),
        progress=SheetProgress.of(done=filled.count_done, number=0, has_more=following is not None),
    )


def _lines(filled: FilledSheet) -> list[SheetLine]:
    ids = {question.id for question in filled.asked}
    lines = []
    for question in the_bank().questions:
        row = filled.findings.get(question.id)
        is_barred = question.id not in ids
        if is_barred and row is None and question.id not in filled.only_earlier:
            continue
        is_left = is_barred and row is not None and (row.answer == Finding.NOT_TRIED or question.id == REV_OUT)
        said = answer_words(question.id, row.answer) if row else ""
        lines.append(
            SheetLine(
                question=told_question(question),
                said=said,
                is_to_try=row is not None and row.answer == Finding.NOT_TRIED and not is_barred,
                is_ours=row is not None and row.source == Finding.WORKSHOP,
                note=told("left to the bench") if is_left and question.id in RUNS_THE_ENGINE else "",
                is_only_earlier=question.id in filled.only_earlier,
            )
        )
    return lines


def _progress(filled: FilledSheet, question_id: str, *, has_more: bool) -> SheetProgress:
    """An answered question keeps the number it had."""
    order = filled.in_order
    number = order.index(question_id) + 1 if question_id in order else len(order) + 1
    return SheetProgress.of(done=len(order), number=number, has_more=has_more)


def _before(filled: FilledSheet, question_id: str) -> str:
    order = filled.in_order
    place = order.index(question_id) if question_id in order else len(order)
    return order[place - 1] if place else ""


def _after(filled: FilledSheet, question_id: str, following: Question | None) -> str:
    """Empty if it is not answered: then its answer is the way on."""
    order = filled.in_order
    if question_id not in order:
        return ""
    later = order[order.index(question_id) + 1 :]
    return later[0] if later else following.id if following else ""


def question_page(visit: Visit, question: Question) -> QuestionPage | None:
    """None if this machine's owner is not asked the question."""
    filled = filled_sheet(visit)
    if not filled.has_page_for(question.id):
        return None
    row, following = filled.findings.get(question.id), filled.next_after(question.id)
    why_not = filled.why_not_now(question.id)
    return QuestionPage(
        visit=visit,
        question=told_question(question),
        chosen=row.answer if row else None,
        progress=_progress(filled, question.id, has_more=following is not None),
        before=_before(filled, question.id),
        after=_after(filled, question.id, following),
        ticks=tuple(
            (name, told(words), name in filled.ticks)
            for name, words in TICKS.items()
            if name != IS_AUTOMATIC or filled.asks_gearbox
        ),
        why_not=why_not,
        next_question=following,
        ask_first=first_to_ask(filled.findings) or "" if question.id == REV_OUT else "",
        choices=picks(told_question(question), row.answer if row else None),
        guides=() if why_not else guides_for_question(question.id),
    )


def picks(question: Question, chosen: Any) -> tuple[Pick, ...]:
    """The bank's answers as buttons or ticks."""
    given = chosen if isinstance(chosen, list) else [chosen]
    parts = [(choice.id, *choice.say.partition(": ")) for choice in question.answers]
    return tuple(Pick(id_, head, tail, id_ in given) for id_, head, _, tail in parts)


def goes_on_at(filled: FilledSheet, after: str) -> str | None:
    """The question to show after an answer, or None at the end.

    If the answers on nipping up or pinking rule out the rev-out, or the machine is an automatic, its page is shown
    anyway: it says so, and it has the ticks.
    """
    if after == ASKED_BEFORE[-1] and filled.why_not:
        return REV_OUT
    following = filled.next_after(after)
    return following.id if following else None
