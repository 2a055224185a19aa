"""An open gate's parts and their lines, for its page; and the lines of one that is over."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case
from diagnostics.core.gate import BENCH_CAUTIONS, STRAPPED_CAUTIONS
from diagnostics.core.gate_list import (
    AT_BENCH,
    BAD,
    LINES,
    PARTS,
    STRAPPED_DOWN,
    STROBE_LINE,
    Item,
    is_let_through,
    lines_of,
)
from diagnostics.core.gate_sheet import GateSheet, barred_results, lines_left, not_before
from diagnostics.core.telling.gate_words import answer_said
from diagnostics.core.way_back import CHECK_WORDS, checks_for
from diagnostics.models.gates import Gate, GateItem
from diagnostics.reads.case import VisitCase
from diagnostics.reads.gates import answers_of, let_through_of, sheet_of_gate
from diagnostics.reads.readings import read_before
from garage.core import states
from garage.models.people import Person


@dataclass(frozen=True)
class GateLine:
    """A line with its standing answer. result: ok, bad or na; said: the answer in words; both empty if there is none.

    before: the lines that must be in order first. is_off: the engine stays off for it, since a finding says do not run.
    barred: results that it can't be answered with. is_let_through: it failed before and that was overridden.
    """

    item: Item
    result: str
    said: str
    by: Person | None
    at: datetime | None
    before: tuple[Item, ...] = ()
    is_off: bool = False
    barred: frozenset[str] = frozenset()
    is_let_through: bool = False

    @property
    def is_done(self) -> bool:
        return bool(self.said)

    @property
    def is_bad(self) -> bool:
        return self.result == BAD and not self.is_let_through

    @property
    def is_offered(self) -> bool:
        return self.is_done or not (self.before or self.is_off)


@dataclass(frozen=True)
class GatePart:
    """One part of an open gate. sheet: with what the workshop has read before, to fill the lines in. left: what can be
    done now and is not done yet. asked_for: the checks that fit what was found and put right.
    """

    id: str
    title: str
    sheet: GateSheet
    lines: tuple[GateLine, ...]
    left: tuple[Item, ...]
    cautions: tuple[str, ...]
    asked_for: tuple[str, ...]

    @property
    def standing(self) -> tuple[GateLine, ...]:
        """With the engine off: what is left first, then what is not in order, then what is done."""
        return _left_first(line for line in self.lines if not line.item.runs_engine)

    @property
    def running(self) -> tuple[GateLine, ...]:
        """With the engine running, as far as it may be started by now: few, so they keep their order."""
        return tuple(line for line in self.lines if line.item.runs_engine and line.is_offered)

    @property
    def offers_strobe(self) -> bool:
        return any(line.item.id == STROBE_LINE for line in self.running)

    @property
    def has_running(self) -> bool:
        return any(line.item.runs_engine for line in self.lines)

    @property
    def waits_for(self) -> tuple[Item, ...]:
        """What must be in order, with the engine off, before the next running lines are offered."""
        waiting = [line.before for line in self.lines if not line.is_offered and not line.is_off]
        return tuple(item for item in waiting[0] if not item.runs_engine) if waiting else ()

    @property
    def later(self) -> tuple[Item, ...]:
        """What is left too, but only after something else."""
        return tuple(line.item for line in self.lines if not line.is_offered and not line.is_off)

    @property
    def is_off(self) -> bool:
        return any(line.is_off and not line.is_done for line in self.lines)

    @property
    def bad(self) -> tuple[GateLine, ...]:
        return tuple(line for line in self.lines if line.is_bad)

    @property
    def done_count(self) -> int:
        return sum(line.is_done for line in self.lines)


def parts_of(bank: Bank, known: VisitCase, gate: Gate) -> tuple[GatePart | None, tuple[GateLine, ...]]:
    """The part to do now, None between the two; and the lines of the bench that were answered, once it is passed."""
    answers = answers_of(gate)
    if not gate.bench_passed_at:
        return _part(bank, known, gate, answers, AT_BENCH), ()
    bench = tuple(line for line in _lines(bank, known.case, gate, answers, AT_BENCH) if line.is_done)
    is_there = known.visit.state == states.ON_THE_ROLLERS
    return _part(bank, known, gate, answers, STRAPPED_DOWN) if is_there else None, bench


def _part(bank: Bank, known: VisitCase, gate: Gate, answers: dict[str, GateItem], part: str) -> GatePart:
    case, sheet, is_bench = known.case, sheet_of_gate(gate, answers), part == AT_BENCH
    strobe, compression = read_before(known.visit) if is_bench else ((), None)
    return GatePart(
        id=part,
        title=PARTS[part],
        sheet=sheet.with_readings(strobe, compression),
        asked_for=tuple(CHECK_WORDS[check] for check in checks_for(known.put_right)) if is_bench else (),
        lines=_lines(bank, case, gate, answers, part),
        left=lines_left(case, sheet, part),
        cautions=BENCH_CAUTIONS if part == AT_BENCH else STRAPPED_CAUTIONS,
    )


def _lines(bank: Bank, case: Case, gate: Gate, answers: dict[str, GateItem], part: str) -> tuple[GateLine, ...]:
    """Every line of a part of an open gate, in the order of doing."""
    sheet, through = sheet_of_gate(gate, answers), let_through_of(gate)
    return tuple(_line(bank, case, item, sheet, answers.get(item.id), through) for item in lines_of(part))


def _line(
    bank: Bank, case: Case, item: Item, sheet: GateSheet, row: GateItem | None, let_through: Collection[str]
) -> GateLine:
    before = not_before(case, sheet, item)
    return GateLine(
        item=item,
        result=row.result if row else "",
        said=answer_said(bank, item, sheet),
        by=row.by if row else None,
        at=row.at if row else None,
        before=before or (),
        is_off=before is None,
        barred=barred_results(case, item),
        is_let_through=is_let_through(item, let_through),
    )


def lines_over(bank: Bank, gate: Gate, rows: Mapping[str, GateItem]) -> tuple[GateLine, ...]:
    """The lines of a finished gate, as far as it has them: earlier lists were shorter."""
    sheet = sheet_of_gate(gate, rows)
    lines = [(item, answer_said(bank, item, sheet), rows.get(item.id)) for item in LINES]
    return tuple(
        GateLine(item, row.result if row else "", said, row.by if row else None, row.at if row else None)
        for item, said, row in lines
        if said
    )


def _left_first(lines: Iterable[GateLine]) -> tuple[GateLine, ...]:
    """In the order of doing within each: not done, not in order, done."""
    return tuple(sorted(lines, key=lambda line: (line.is_done, not line.is_bad)))
