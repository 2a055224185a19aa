"""The gate: what is checked before a machine goes on the rollers, and what it needs to pass.

The list and its pass criteria: common practice, no source. It does not replace the rules of the site, nor the work that
only a licensed trade may sign off.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Answer, Case, MachineFacts
from diagnostics.core.judging.evidence import IDLE, PEAK, REV_OUT
from diagnostics.core.stops import fired_rules
from diagnostics.core.telling.judgement_words import finding_words
from diagnostics.core.timing.strobe import PASSING_VERDICTS, StrobeJudgement
from diagnostics.core.timing.strobe_marks import judge_marks
from garage.core import states
from garage.core.errors import BadInput

OK, BAD, NOT_APPLICABLE = "ok", "bad", "na"
RESULTS = {OK: "in order", BAD: "not in order", NOT_APPLICABLE: "does not apply"}
NOT_DONE = "not-done"
PASSING_REV_OUTS = frozenset({"clean", "smoky"})
LEAST_HIGHEST_RPM, MOST_HIGHEST_RPM = 500, 30_000  # rpm, range of a running-in limit


@dataclass(frozen=True)
class Item:
    """One line of the list. bad: the sentence if it fails; may_not_apply: whether a machine can do without it."""

    id: str
    say: str
    bad: str
    may_not_apply: bool = False


ITEMS = (
    Item("kill-switch", "The kill switch stops it", "The kill switch does not stop it."),
    Item("throttle", "The throttle snaps shut by itself", "The throttle does not snap shut."),
    Item(
        "tyre", "Tyre sound, at the right pressure, nothing loose in the tread", "The tyre is not fit for the rollers."
    ),
    Item("drive", "Drive chain or belt: wear, tension, guard", "The drive chain or belt is not in order.", True),
    Item("brakes", "Brakes work and release", "The brakes are not in order."),
    Item("oil-coolant", "Oil and coolant at their marks", "Oil or coolant is not in order.", True),
    Item("leaks", "No leaks of petrol, oil or coolant", "It leaks."),
    Item("exhaust", "Exhaust on and tight", "The exhaust is not on or not tight."),
    Item("fuel", "Enough petrol for the session", "There is not enough petrol in it."),
    Item("mix", "The right petrol, with the right oil in it", "The petrol or its mix is wrong."),
    Item("strapping", "Strapped down, straps and anchors sound", "The strapping is not sound."),
    Item("extraction", "Extraction on and at the exhaust", "The extraction is not on."),
    Item("guards", "Guards over rollers and drive in place", "A guard is missing."),
    Item("ears", "Ear protection on everybody in the room", "Ear protection is missing."),
    Item("extinguisher", "Extinguisher at hand", "No extinguisher is at hand."),
    Item("co-alarm", "CO alarm on and tested", "The CO alarm is not there or not working."),
    Item("second-person", "A second person within call", "No second person is within call."),
)
CAUTIONS = (
    "Exhaust gas kills: extraction on, CO alarm on, doors open or shut as the extraction needs.",
    "Nobody in line with the wheel, nothing loose near rollers, chain and flywheel; ears and eyes protected.",
    "Rev-out: warm, in neutral on its stand. Open up over about a second, hold two to three. Stop if it rattles.",
    "This list is common practice. Local codes and licensed practice come first.",
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
class GateSheet:
    """What was found. results: item id to ok, bad or na; words: remarks by item. strobe: pairs (rpm, degrees BTDC); if
    empty, not_seen says why. highest_rpm: allowed today, or None. second_person: who is within call;
    second_id: that person among the shop's people.
    """

    results: Mapping[str, str]
    words: Mapping[str, str]
    rev_out: str
    strobe: tuple[tuple[float, float], ...] = ()
    not_seen: str = ""
    highest_rpm: int | None = None
    fuel_mix: str = ""
    second_person: str = ""
    second_id: int | None = None


@dataclass(frozen=True)
class GateResult:
    """fails and notes: plain sentences; the gate is passed if nothing failed. strobe: None if the marks were not seen.
    do_not_run: whether a do-not-run rule is among the fails.
    """

    fails: tuple[str, ...]
    notes: tuple[str, ...]
    strobe: StrobeJudgement | None
    do_not_run: bool

    @property
    def passed(self) -> bool:
        return not self.fails


def gate_findings(sheet: GateSheet, machine: MachineFacts) -> dict[str, Answer]:
    """What the gate found as answers to the bank's questions."""
    found: dict[str, Answer] = {}
    if sheet.rev_out != NOT_DONE:
        found[REV_OUT] = sheet.rev_out
    if sheet.strobe:
        ordered = sorted(sheet.strobe)
        found[IDLE], found[PEAK] = float(ordered[0][1]), float(ordered[-1][1])
    if sheet.results.get("mix") == BAD and not machine.is_four_stroke:
        found["fuel"] = "wrong-mix"
    return found


def judge_gate(bank: Bank, case: Case, sheet: GateSheet) -> GateResult:
    """Whether it may go on the rollers. case: as known before; the gate's own findings override it.

    Raises BadInput naming the line that is missing or wrong. The strobe passes only with `in-spec` or `eases-back`. The
    do-not-run rules apply to all current findings. Source: the manuals of `timing` and `assess`.
    """
    _check(bank, sheet)
    strobe, notes = _judge_marks(case.machine, sheet)
    now = replace(case, answers={**case.answers, **gate_findings(sheet, case.machine)})
    fired = fired_rules(now)
    fails = [_item_fails(item, sheet) for item in ITEMS if sheet.results[item.id] == BAD]
    fails += _rev_out_fails(bank, sheet)
    if strobe and strobe.verdict not in PASSING_VERDICTS:
        fails.append(f"Strobe: {' '.join(strobe.means)}")
    fails += [f"Do not run: {' '.join(finding_words(bank, f) for f in rule.findings)}" for rule in fired]
    return GateResult(tuple(fails), (*notes, *_notes(case, sheet)), strobe, bool(fired))


def stops_before(bank: Bank, case: Case) -> tuple[str, ...]:
    """The do-not-run findings known before the gate begins. With any of them the rev-out must not be done."""
    findings = dict.fromkeys(finding for rule in fired_rules(case) for finding in rule.findings)
    return tuple(finding_words(bank, finding) for finding in findings)


def _item_fails(item: Item, sheet: GateSheet) -> str:
    words = sheet.words.get(item.id, "").strip()
    return f"{item.bad} {words}".strip()


def _check(bank: Bank, sheet: GateSheet) -> None:
    for item in ITEMS:
        allowed = list(RESULTS) if item.may_not_apply else [OK, BAD]
        if sheet.results.get(item.id) not in allowed:
            words = " or ".join(RESULTS[result] for result in allowed)
            raise BadInput(item.say, sheet.results.get(item.id), words)
    rev_outs = (*bank.question(REV_OUT).answer_ids, NOT_DONE)
    if sheet.rev_out not in rev_outs:
        raise BadInput("The rev-out", sheet.rev_out or None, "one of its answers, or that it was not done")
    if not sheet.strobe and not sheet.not_seen.strip():
        raise BadInput("The strobe", None, "readings at tickover and at peak revs, or why the marks were not seen")
    if sheet.results["second-person"] == OK and not sheet.second_person.strip():
        raise BadInput("The second person's name", None, "who is within call")
    if sheet.highest_rpm is not None and not LEAST_HIGHEST_RPM <= sheet.highest_rpm <= MOST_HIGHEST_RPM:
        raise BadInput(
            "Highest revs today", sheet.highest_rpm, f"{LEAST_HIGHEST_RPM} to {MOST_HIGHEST_RPM} rpm, or empty"
        )


def _judge_marks(machine: MachineFacts, sheet: GateSheet) -> tuple[StrobeJudgement | None, tuple[str, ...]]:
    """If the spec is unknown, the first reading is used as the spec: the drift is judged, the static timing is not."""
    if not sheet.strobe:
        return None, (f"Timing marks not seen: {sheet.not_seen.strip().rstrip('.')}.",)
    marks = judge_marks(machine, sheet.strobe)
    judged, notes = marks.judged, tuple[str, ...]()
    if not marks.is_spec_known:
        notes = ("Its timing spec is not known, so only the drift was judged.",)
    return judged, (*notes, f"Strobe: {' '.join(judged.means)}") if judged.verdict in PASSING_VERDICTS else notes


def _rev_out_fails(bank: Bank, sheet: GateSheet) -> list[str]:
    if sheet.rev_out == NOT_DONE:
        return ["The rev-out was not done."]
    if sheet.rev_out not in PASSING_REV_OUTS:
        return [finding_words(bank, f"{REV_OUT}={sheet.rev_out}")]
    return []


def _notes(case: Case, sheet: GateSheet) -> list[str]:
    notes = []
    if sheet.rev_out == "smoky":
        notes.append(
            "It runs rich but revs out: that is what a set-up is for."
            if case.booked == "set-up"
            else "It runs rich but revs out: offer the owner a set-up."
        )
    if sheet.highest_rpm is not None:
        notes.append(f"Running in: not above {sheet.highest_rpm} rpm today.")
    return notes
