"""What may be answered, and how a case is read from plain values: a line of a command, or the rows of a check sheet."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from diagnostics.core.bank.bank import NUMBER, SEVERAL, VISIT_KINDS, Bank, Question
from diagnostics.core.remarks import read_remarks
from garage.core.errors import BadInput
from garage.core.text.languages import told

UNSURE = "unsure"
CURVES = ("fixed", "retarding", "advancing")
PUMP = "pump"
OILINGS = ("mixed", PUMP)  # oil mixed into the petrol, or pumped in beside it
GRAVITY, VACUUM = TAPS = ("gravity", "vacuum")  # a vacuum tap gives nothing without the engine's suction
FIRES_PER_TURN = (0.5, 1.0, 2.0)
REVS_OUT, BREAKS_DOWN, UNCLEAR = VERDICTS = ("revs-out", "breaks-down", "unclear")
MOST_RPM = 100_000
MOST_PENCE = 10**9

Answer = str | float | tuple[str, ...]


@dataclass(frozen=True)
class MachineFacts:
    """What is known of a machine, None if unknown. Angles in degrees; design_rpm is the speed on the stand. An unknown
    oiling counts as mixed.
    """

    fires_per_turn: float = 1.0
    gearbox: str = "geared"
    ignition: str = "electronic"
    fed_by: str = "magneto"
    spec_btdc: float | None = None
    spec_curve: str | None = None
    curve_deg: float | None = None
    design_rpm: float | None = None
    oiling: str | None = None
    tap: str = GRAVITY

    @property
    def is_four_stroke(self) -> bool:
        return self.fires_per_turn == 0.5

    @property
    def traits(self) -> frozenset[str]:
        """The bank's names for this kind of machine."""
        return _traits(self)


@lru_cache(maxsize=256)
def _traits(machine: MachineFacts) -> frozenset[str]:
    held = {
        "points": machine.ignition == "points",
        "battery": machine.fed_by == "battery",
        "automatic": machine.gearbox == "automatic",
        "four-stroke": machine.is_four_stroke,
        "vacuum-tap": machine.tap == VACUUM,
        "pump": machine.oiling == PUMP,
    }
    return frozenset(trait for trait, holds in held.items() if holds)


@dataclass(frozen=True)
class ClipVerdict:
    """The clip as evidence for a judgement; confidence 0 to 1, speeds in rpm."""

    verdict: str
    confidence: float
    ceiling_rpm: float | None = None
    peak_rpm: float | None = None


@dataclass(frozen=True)
class Costs:
    """Pence."""

    slot_lost: int
    bench_check: int
    call: int
    bench_minute: int


@dataclass(frozen=True, eq=False)
class Case:
    """Everything a judgement is based on. answers: those that carry weight; unsure: other questions that were asked.
    remarks: what the owner told beside the questions, in their order.
    """

    case: str
    machine: MachineFacts
    booked: str
    costs: Costs
    answers: Mapping[str, Answer] = field(default_factory=dict)
    unsure: frozenset[str] = frozenset()
    heard: ClipVerdict | None = None
    remarks: tuple[str, ...] = ()

    def several(self, question: str) -> tuple[str, ...]:
        found = self.answers.get(question, ())
        return found if isinstance(found, tuple) else ()

    def number(self, question: str) -> float | None:
        found = self.answers.get(question)
        return found if isinstance(found, float) else None

    def without(self, question: str) -> Case:
        """The same case without one question."""
        kept = {other: answer for other, answer in self.answers.items() if other != question}
        return replace(self, answers=kept, unsure=self.unsure - {question})


def said(answer: Answer) -> str:
    """An answer as written after the equals sign.

    >>> said(19.5), said(17.0), said("clean")
    ('19.5', '17', 'clean')
    """
    if isinstance(answer, float):
        return str(int(answer)) if answer.is_integer() else repr(answer)
    return answer if isinstance(answer, str) else ",".join(answer)


def read_case(bank: Bank, line: Mapping[str, Any]) -> Case:
    """A case from plain values, keys as in the manual of `assess`; unknown keys are ignored.

    Raises BadInput naming the key that is wrong and what is allowed there.
    """
    case = line.get("case")
    if not isinstance(case, str):
        raise BadInput("case", case, "any string")
    booked = line.get("booked")
    machine = read_machine(line.get("machine"))
    answers, unsure = _weighty(machine, *read_answers(bank, line.get("answers")))
    return Case(
        case=case,
        machine=_as_told(machine, answers),
        booked=_one_of("booked", booked, VISIT_KINDS),
        costs=_read_costs(bank, line.get("costs")),
        answers=answers,
        unsure=unsure,
        heard=_read_heard(line.get("heard")),
        remarks=read_remarks(line.get("remarks")),
    )


def _as_told(machine: MachineFacts, answers: Mapping[str, Answer]) -> MachineFacts:
    """With what answers say of the machine, where the machine itself does not know it."""
    oiling, curve = answers.get("oiling"), answers.get("ignition_curve")
    return replace(
        machine,
        oiling=oiling if machine.oiling is None and isinstance(oiling, str) else machine.oiling,
        spec_curve=curve if machine.spec_curve is None and isinstance(curve, str) else machine.spec_curve,
    )


def read_machine(found: object) -> MachineFacts:
    """A machine from plain values, each optional. Raises BadInput naming the key."""
    values = _optional_object("machine", found)
    plain = MachineFacts()
    fires = _optional_number("machine.fires_per_turn", values.get("fires_per_turn"), 0, 10, "1, 2 or 0.5")
    if fires is not None and fires not in FIRES_PER_TURN:
        raise BadInput("machine.fires_per_turn", values.get("fires_per_turn"), "1, 2 or 0.5")
    design_rpm = _optional_number("machine.design_rpm", values.get("design_rpm"), 0, MOST_RPM, "a speed in rpm above 0")
    if design_rpm == 0:
        raise BadInput("machine.design_rpm", 0, "a speed in rpm above 0")
    curve, oiling = values.get("spec_curve"), values.get("oiling")
    degrees = "degrees BTDC from -10 to 60"
    return MachineFacts(
        fires_per_turn=fires or plain.fires_per_turn,
        gearbox=_optional_word("machine.gearbox", values.get("gearbox"), ("geared", "automatic")),
        ignition=_optional_word("machine.ignition", values.get("ignition"), ("electronic", "points")),
        fed_by=_optional_word("machine.fed_by", values.get("fed_by"), ("magneto", "battery")),
        spec_btdc=_optional_number("machine.spec_btdc", values.get("spec_btdc"), -10, 60, degrees),
        spec_curve=None if curve is None else _one_of("machine.spec_curve", curve, CURVES),
        curve_deg=_optional_number("machine.curve_deg", values.get("curve_deg"), 0, 60, "degrees from 0 to 60"),
        design_rpm=design_rpm,
        oiling=None if oiling is None else _one_of("machine.oiling", oiling, OILINGS),
        tap=_optional_word("machine.tap", values.get("tap"), TAPS),
    )


def read_answers(bank: Bank, found: object) -> tuple[dict[str, Answer], frozenset[str]]:
    """The answers that carry weight, and the questions answered `unsure`; questions unknown to the bank are ignored.

    Raises BadInput naming the question and its allowed answers.
    """
    values = _optional_object("answers", found)
    answers: dict[str, Answer] = {}
    unsure = set()
    for question in bank.questions:
        given = values.get(question.id)
        if given is None or given == []:
            continue
        if given in (UNSURE, [UNSURE]):
            unsure.add(question.id)
            continue
        answers[question.id] = read_answer(question, given)
    return answers, frozenset(unsure)


def _weighty(
    machine: MachineFacts, answers: dict[str, Answer], unsure: frozenset[str]
) -> tuple[dict[str, Answer], frozenset[str]]:
    """A weak flow into a can says nothing of a vacuum tap: it was asked, and carries no weight."""
    if machine.tap != VACUUM or answers.get("fuel_flow") != "weak":
        return answers, unsure
    return {question: answer for question, answer in answers.items() if question != "fuel_flow"}, unsure | {"fuel_flow"}


def read_answer(question: Question, given: object) -> Answer:
    """One answer other than `unsure`: an id, a number or, where several are allowed, their ids in the bank's order.

    Raises BadInput naming the question.
    """
    where = f"answers.{question.id}"
    if question.kind == NUMBER:
        allowed = told(
            "{unit} from {lowest} to {highest}, or unsure",
            unit=told(question.unit),
            lowest=f"{question.lowest:g}",
            highest=f"{question.highest:g}",
        )
        return _number(where, given, question.lowest, question.highest, allowed)
    if question.kind == SEVERAL:
        return _read_several(where, question, given)
    return _one_of(where, given, question.answer_ids, " or unsure")


def _read_several(where: str, question: Question, given: object) -> tuple[str, ...]:
    listed = given if isinstance(given, list | tuple) else [given]
    ids = {_one_of(where, one, question.answer_ids, "; unsure only by itself") for one in listed}
    if question.nothing in ids and len(ids) > 1:
        raise BadInput(where, ", ".join(sorted(ids)), f"{question.nothing} only by itself")
    return tuple(answer for answer in question.answer_ids if answer in ids)


def _read_heard(found: object) -> ClipVerdict | None:
    if found is None:
        return None
    values = _optional_object("heard", found)
    verdict = _one_of("heard.verdict", values.get("verdict"), VERDICTS)
    speed = "a speed in rpm, or null"
    return ClipVerdict(
        verdict=verdict,
        confidence=_number("heard.confidence", values.get("confidence"), 0, 1, "a number from 0 to 1"),
        ceiling_rpm=_optional_number("heard.ceiling_rpm", values.get("ceiling_rpm"), 0, MOST_RPM, speed),
        peak_rpm=_optional_number("heard.peak_rpm", values.get("peak_rpm"), 0, MOST_RPM, speed),
    )


def _read_costs(bank: Bank, found: object) -> Costs:
    values = _optional_object("costs", found)
    return Costs(
        **{name: _pence(f"costs.{name}", values.get(name), usual) for name, usual in bank.routing.costs.items()}
    )


def _pence(where: str, found: object, usual: int) -> int:
    if found is None:
        return usual
    pence = _number(where, found, 0, MOST_PENCE, "whole pence, 0 or more")
    if not pence.is_integer():
        raise BadInput(where, found, "whole pence, 0 or more")
    return int(pence)


def _optional_object(where: str, found: object) -> Mapping[str, Any]:
    if found is None:
        return {}
    if not isinstance(found, Mapping):
        raise BadInput(where, found, "an object in curly brackets")
    return found


def _optional_word(where: str, found: object, words: tuple[str, ...]) -> str:
    return words[0] if found is None else _one_of(where, found, words)


def _one_of(where: str, found: object, words: tuple[str, ...], more: str = "") -> str:
    if not isinstance(found, str) or found not in words:
        raise BadInput(where, found, "one of " + ", ".join(words) + more)
    return found


def _optional_number(where: str, found: object, least: float, most: float, allowed: str) -> float | None:
    return None if found is None else _number(where, found, least, most, allowed)


def _number(where: str, found: object, least: float, most: float, allowed: str) -> float:
    if isinstance(found, bool) or not isinstance(found, int | float) or not least <= found <= most:
        raise BadInput(where, found, allowed)
    return float(found) if math.isfinite(found) else math.nan
