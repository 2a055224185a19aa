"""What was found at a gate so far, line by line, and what is left to do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Answer, Case, MachineFacts
from diagnostics.core.gate_list import (
    BAD,
    COMPRESSION,
    HIGHEST_REVS,
    ITEMS,
    KILL_SWITCH,
    LINES,
    MIX,
    NOT_APPLICABLE,
    OK,
    REV_OUT_LINE,
    SECOND_LINE,
    STROBE_LINE,
    Item,
    line_called,
    lines_of,
)
from diagnostics.core.judging.evidence import IDLE, PEAK, REV_OUT
from diagnostics.core.readings import GAUGES
from diagnostics.core.remarks import NOT_RUN_IN
from diagnostics.core.stops import fired_rules
from diagnostics.core.timing.strobe_marks import judge_marks
from garage.core.errors import BadInput, Unquoted

NOT_DONE = "not-done"
PASSING_REV_OUTS = frozenset({"clean", "smoky"})
LEAST_HIGHEST_RPM, MOST_HIGHEST_RPM = 500, 30_000  # rpm, range of a running-in limit
RPM_LIMIT = f"{LEAST_HIGHEST_RPM} to {MOST_HIGHEST_RPM} rpm"


_BELONGS = {  # what a line's answer holds besides its result and its note
    COMPRESSION: ("compression",),
    HIGHEST_REVS: ("highest_rpm",),
    MIX: ("fuel_mix",),
    SECOND_LINE: ("second_person", "second_id"),
}


@dataclass(frozen=True)
class GateSheet:
    """What was found; a line that is not in it was not answered. results: item id to ok, bad or na; words: remarks by
    item. strobe: pairs (rpm, degrees BTDC); if empty, not_seen says why. compression: (value, unit) by gauge or
    leak-down. highest_rpm: allowed today, or None. second_person: who is within call; second_id: that person among
    the shop's people.
    """

    results: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    rev_out: str = ""
    strobe: tuple[tuple[float, float], ...] = ()
    not_seen: str = ""
    compression: tuple[float, str] | None = None
    highest_rpm: int | None = None
    fuel_mix: str = ""
    second_person: str = ""
    second_id: int | None = None

    @property
    def answered(self) -> tuple[str, ...]:
        """The ids of the lines that are answered, in the order of the list."""
        return tuple(line.id for line in LINES if self.has(line.id))

    def has(self, line_id: str) -> bool:
        if line_id == REV_OUT_LINE:
            return bool(self.rev_out)
        if line_id == STROBE_LINE:
            return bool(self.strobe or self.not_seen.strip())
        return line_id in self.results

    def with_answers(self, given: GateSheet) -> GateSheet:
        """The sheet with these lines answered anew. What belongs to a line goes with it.

        >>> GateSheet({"tyre": "bad"}, {"tyre": "bald"}).with_answers(GateSheet({"tyre": "ok"})).words
        {}
        """
        kept = {item: words for item, words in self.words.items() if item not in given.results}
        new = replace(
            self,
            results={**self.results, **given.results},
            words={**kept, **{item: words for item, words in given.words.items() if item in given.results}},
            rev_out=given.rev_out or self.rev_out,
        )
        if given.has(STROBE_LINE):
            new = replace(new, strobe=given.strobe, not_seen="" if given.strobe else given.not_seen.strip())
        of_lines = [names for item, names in _BELONGS.items() if item in given.results]
        return replace(new, **{name: getattr(given, name) for names in of_lines for name in names})

    def with_readings(
        self, strobe: tuple[tuple[float, float], ...], compression: tuple[float, str] | None
    ) -> GateSheet:
        """To fill a form in with: readings taken before the gate, where their line is not answered yet."""
        filled = self if self.has(STROBE_LINE) else replace(self, strobe=strobe)
        return filled if COMPRESSION in self.results else replace(filled, compression=compression)

    def only(self, line_id: str) -> GateSheet:
        """The answer to one line alone."""
        if line_id == REV_OUT_LINE:
            return GateSheet(rev_out=self.rev_out)
        if line_id == STROBE_LINE:
            return GateSheet(strobe=self.strobe, not_seen=self.not_seen)
        results = {line_id: self.results[line_id]} if line_id in self.results else {}
        return GateSheet().with_answers(replace(self, results=results, rev_out="", strobe=(), not_seen=""))

    def without(self, lines: Iterable[Item]) -> GateSheet:
        """The sheet with the answers to these lines taken out."""
        gone = {line.id for line in lines}
        kept = GateSheet()
        for line_id in self.answered:
            kept = kept if line_id in gone else kept.with_answers(self.only(line_id))
        return kept


def gate_findings(sheet: GateSheet, machine: MachineFacts) -> dict[str, Answer]:
    """What the gate found as answers to the bank's questions. That the mix is right is one only where it was not."""
    found: dict[str, Answer] = {}
    if sheet.rev_out not in ("", NOT_DONE):
        found[REV_OUT] = sheet.rev_out
    if sheet.strobe:
        ordered = sorted(sheet.strobe)
        found[IDLE], found[PEAK] = float(ordered[0][1]), float(ordered[-1][1])
    if sheet.results.get(MIX) == BAD and not machine.is_four_stroke:
        found["fuel"] = "wrong-mix"
    return found


def case_with(case: Case, sheet: GateSheet) -> Case:
    """What was known before, with the gate's own findings over it."""
    return replace(case, answers={**case.answers, **gate_findings(sheet, case.machine)})


def not_before(case: Case, sheet: GateSheet, line: Item) -> tuple[Item, ...] | None:
    """The lines to put right before this one is done; empty if it may be done now. None if it must not be done at all,
    since a do-not-run finding stands and the engine would run.
    """
    if line.runs_engine and fired_rules(_known_for(line, case_with(case, sheet))):
        return None
    missing = (item for item in line.after if sheet.results.get(item) not in (OK, NOT_APPLICABLE))
    return tuple(found for item in missing if (found := line_called(item)))


def _known_for(line: Item, case: Case) -> Case:
    """What speaks against doing the line. Strobe readings do not keep the strobe off, nor the kill switch tried before
    it: it is how one sees that the timing was put right.
    """
    if line.id not in (KILL_SWITCH, STROBE_LINE):
        return case
    return replace(case, answers={name: said for name, said in case.answers.items() if name not in (IDLE, PEAK)})


def may_be_answered(case: Case, sheet: GateSheet, line: Item, given: GateSheet) -> bool:
    """Whether the line may be answered so, after the sheet. That the engine was not run can always be said."""
    is_left_out = given.rev_out == NOT_DONE or (line.id == STROBE_LINE and not given.strobe)
    return is_left_out or not_before(case, sheet, line) == ()


def lines_left(case: Case, sheet: GateSheet, part: str) -> tuple[Item, ...]:
    """The lines of the part that can be done now and are not answered yet, in the order of doing."""
    return tuple(line for line in lines_of(part) if not sheet.has(line.id) and not_before(case, sheet, line) == ())


def barred_results(case: Case, line: Item) -> frozenset[str]:
    """What the line can't be answered with: an engine that is not run in has its highest revs today."""
    return frozenset({NOT_APPLICABLE} if line.id == HIGHEST_REVS and NOT_RUN_IN in case.remarks else ())


def check_answers(bank: Bank, case: Case, given: GateSheet) -> None:
    """Raises BadInput naming the line that has an answer it can't have. What is not given is not asked for."""
    for item_id, result in given.results.items():
        item = line_called(item_id)
        if item is None or item not in ITEMS:
            raise BadInput("The line", item_id, "a line of the gate")
        if result not in dict(item.results):
            raise BadInput(item.say, result or None, item.allowed)
        if result in barred_results(case, item):
            raise BadInput(item.say, Unquoted(dict(item.results)[result]), f"{RPM_LIMIT}: it is not run in")
    if given.rev_out and given.rev_out not in (*bank.question(REV_OUT).answer_ids, NOT_DONE):
        raise BadInput("The rev-out", given.rev_out, "one of its answers, or that it was not done")
    if given.strobe:
        judge_marks(case.machine, given.strobe)
    _check_pressure(given)
    if given.results.get(SECOND_LINE) == OK and not given.second_person.strip():
        raise BadInput("The second person's name", None, "who is within call")
    _check_highest_revs(given)


def _check_pressure(given: GateSheet) -> None:
    result = given.results.get(COMPRESSION)
    if result == NOT_APPLICABLE and not given.words.get(COMPRESSION, "").strip():
        raise BadInput("The note", None, "why the compression was not measured")
    if result not in (OK, BAD):
        return
    value, unit = given.compression or (None, "bar")
    if unit not in GAUGES:
        raise BadInput("The unit", unit, " or ".join(GAUGES))
    if value is None or not 0 <= value <= GAUGES[unit]:
        raise BadInput("The gauge", value, f"what it read, up to {GAUGES[unit]:g} {unit}")


def _check_highest_revs(given: GateSheet) -> None:
    is_plausible = given.highest_rpm is not None and LEAST_HIGHEST_RPM <= given.highest_rpm <= MOST_HIGHEST_RPM
    if given.results.get(HIGHEST_REVS) == OK and not is_plausible:
        raise BadInput("Highest revs today", given.highest_rpm, f"{RPM_LIMIT}, or no limit")
