"""The gate: what a machine needs to pass its two parts before it is run on the rollers.

The list: core/gate_list.py. What was found so far and what is left: core/gate_sheet.py. Cautions and pass criteria:
common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case, MachineFacts
from diagnostics.core.gate_list import (
    AT_BENCH,
    BAD,
    COMPRESSION,
    LINES,
    REV_OUT_LINE,
    STROBE_LINE,
    Item,
    is_let_through,
    lines_of,
)
from diagnostics.core.gate_sheet import (
    NOT_DONE,
    PASSING_REV_OUTS,
    GateSheet,
    case_with,
    check_answers,
    lines_left,
)
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.core.readings import gauge_words
from diagnostics.core.stops import fired_rules
from diagnostics.core.telling.judgement_words import finding_words
from diagnostics.core.timing.strobe import PASSING_VERDICTS, StrobeJudgement
from diagnostics.core.timing.strobe_marks import judge_marks
from diagnostics.core.way_back import CHECK_WORDS, Check
from garage.core import states
from garage.core.errors import BadInput

BENCH_CAUTIONS = (
    "Local codes and licensed practice come before this list, which is common practice.",
    "Petrol burns: no flame, no spark, no hot lamp near it; wipe up what leaks and leave the engine off. Exhaust and "
    "cylinder may still be hot.",
    "For the gauge: throttle open, HT lead earthed on the engine, fingers clear of kickstart, chain and wheel.",
)
RUNNING_CAUTIONS = (
    "Exhaust gas kills: extraction on, CO alarm on, doors open or shut as the extraction needs.",
    "Ears and eyes protected; nothing loose near wheel, chain and flywheel; pipe and cylinder burn.",
    "Rev-out: warm, in neutral on its stand. Open up over about a second, hold two to three. Stop if it rattles.",
)
STRAPPED_CAUTIONS = (
    "Local codes and licensed practice come before this list.",
    "Nobody in line with the wheel; hands, hair, straps and sleeves clear of rollers and chain; engine off while you "
    "strap it down.",
    "Exhaust gas kills: extraction running before the engine. It is loud: ears before the engine too. Pipe and "
    "cylinder burn.",
)
AUTOMATIC_REV_OUT = (
    "An automatic has no neutral: drive belt off or wheel clear, guarded, and short. The plateau where its variator "
    "shifts is not a false ceiling. Stuttering is."
)
LIMITER = "If it has a rev limiter, holding the limiter’s speed without stutter is clean, not a false ceiling."


def why_no_gate(number: int, state: str, kind_words: str, *, goes_on_the_rollers: bool) -> str:
    """Why the visit cannot begin a gate now; empty if it can.

    >>> why_no_gate(41, "here", "Bench check", goes_on_the_rollers=False)
    'Visit 41 is a bench check: it does not go on the rollers.'
    """
    if why := states.why_not_here(number, state):
        return why
    return "" if goes_on_the_rollers else f"Visit {number} is a {kind_words.lower()}: it does not go on the rollers."


@dataclass(frozen=True)
class GateResult:
    """fails and notes: plain sentences; the part is passed if nothing failed. strobe: None if the marks were not seen.
    do_not_run: whether a do-not-run rule is among the fails.
    """

    fails: tuple[str, ...]
    notes: tuple[str, ...]
    strobe: StrobeJudgement | None
    do_not_run: bool

    @property
    def passed(self) -> bool:
        return not self.fails


def judge_part(
    bank: Bank, case: Case, sheet: GateSheet, part: str, asked_for: Collection[Check] = frozenset()
) -> GateResult:
    """Whether the part is passed. case: as known before; the gate's own findings override it. asked_for: the checks
    that fit what was found and put right, and so must not be left out.

    Raises BadInput naming the first line that is left, or one that is wrong. The strobe passes only with `in-spec` or
    `eases-back`. The do-not-run rules apply to all current findings. Source: the manuals of `timing` and `assess`.
    """
    check_answers(bank, case, sheet)
    for line in lines_left(case, sheet, part):
        raise _missing(line)
    fired = fired_rules(case_with(case, sheet))
    fails = [line_fails(line, sheet) for line in lines_of(part) if sheet.results.get(line.id) == BAD]
    strobe, notes = None, tuple[str, ...]()
    if part == AT_BENCH:
        fails += _rev_out_fails(bank, sheet)
        strobe, notes = _judge_marks(case.machine, sheet)
        if strobe and strobe.verdict not in PASSING_VERDICTS:
            fails.append(f"Strobe: {' '.join(strobe.means)}")
        done = {Check.STROBE: bool(sheet.strobe), Check.GAUGE: sheet.compression is not None}
        fails += [CHECK_WORDS[check] for check in Check if check in asked_for and not done[check]]
        notes = (*notes, *_bench_notes(case, sheet))
    elif sheet.highest_rpm is not None:
        notes = (f"Running in: not above {sheet.highest_rpm} rpm today.",)
    fails += [f"Do not run: {' '.join(finding_words(bank, f) for f in rule.findings)}" for rule in fired]
    return GateResult(tuple(fails), notes, strobe, bool(fired))


def fails_beyond(fails: Collection[str], overridden: Collection[str]) -> tuple[str, ...]:
    """What failed besides the lines that were overridden when they failed before. Both as sentences.

    >>> fails_beyond(["A guard is missing. Left one.", "Do not run: it pinks."], ["A guard is missing."])
    ('Do not run: it pinks.',)
    """
    let_through = [line.bad for line in LINES if is_let_through(line, overridden)]
    return tuple(fail for fail in fails if not any(fail.startswith(bad) for bad in let_through))


def stops_before(bank: Bank, case: Case) -> tuple[str, ...]:
    """The do-not-run findings known before the gate begins. With any of them the engine is not started for it."""
    findings = dict.fromkeys(finding for rule in fired_rules(case) for finding in rule.findings)
    return tuple(finding_words(bank, finding) for finding in findings)


def line_fails(line: Item, sheet: GateSheet) -> str:
    """The sentence of a line that is not in order, with the note."""
    return f"{line.bad} {sheet.words.get(line.id, '').strip()}".strip()


def _missing(line: Item) -> BadInput:
    if line.id == REV_OUT_LINE:
        return BadInput("The rev-out", None, "one of its answers, or that it was not done")
    if line.id == STROBE_LINE:
        return BadInput("The strobe", None, "readings at tickover and at peak revs, or why the marks were not seen")
    return BadInput(line.say, None, line.allowed)


def _judge_marks(machine: MachineFacts, sheet: GateSheet) -> tuple[StrobeJudgement | None, tuple[str, ...]]:
    """If the spec is unknown, the first reading is used as the spec: the drift is judged, the static timing is not."""
    if not sheet.has(STROBE_LINE):
        return None, ()
    if not sheet.strobe:
        return None, (f"Timing marks not seen: {sheet.not_seen.strip().rstrip('.')}.",)
    marks = judge_marks(machine, sheet.strobe)
    judged, notes = marks.judged, tuple[str, ...]()
    if not marks.is_spec_known:
        notes = ("Its timing spec is not known, so only the drift was judged.",)
    return judged, (*notes, f"Strobe: {' '.join(judged.means)}") if judged.verdict in PASSING_VERDICTS else notes


def _rev_out_fails(bank: Bank, sheet: GateSheet) -> list[str]:
    if not sheet.rev_out:
        return []
    if sheet.rev_out == NOT_DONE:
        return ["The rev-out was not done."]
    if sheet.rev_out not in PASSING_REV_OUTS:
        return [finding_words(bank, f"{REV_OUT}={sheet.rev_out}")]
    return []


def _bench_notes(case: Case, sheet: GateSheet) -> list[str]:
    notes = []
    if sheet.rev_out == "smoky":
        notes.append(
            "It runs rich but revs out: that is what a set-up is for."
            if case.booked == "set-up"
            else "It runs rich but revs out: offer the owner a set-up."
        )
    if sheet.compression is not None:
        notes.append(f"Piston and bore: {gauge_words(*sheet.compression)}.")
    elif sheet.results.get(COMPRESSION):
        notes.append(f"Compression not measured: {sheet.words[COMPRESSION].strip().rstrip('.')}.")
    return notes
