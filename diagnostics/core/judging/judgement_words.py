"""A judgement in words: for the workshop with its figures, for the owner without a bare chance and without blame."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from diagnostics.core.bank.bank import GROUPS, NOTHING_WRONG, NUMBER, Bank
from garage.core import money, routes

GROUP_WORDS = {
    "ignition": "the ignition",
    "fuel-air": "fuel and air",
    "mechanical": "something mechanical",
    "nothing-wrong": "nothing wrong",
}
HEARD_WORDS = {
    "revs-out": "The clip: it revs out.",
    "breaks-down": "The clip: it breaks down.",
    "unclear": "The clip: unclear.",
}
_NAMED_FINDING = re.compile(r"\b([a-z_]+)=-?\w+(?:[.-]\w+)*")
_PENCE = re.compile(r"\b(\d+) pence\b")
_PERCENT = re.compile(r"\b(\d+)%")
_CHANCE_WORDS = ((0.05, "hardly"), (0.25, "not likely"), (0.5, "possible"), (0.8, "likely"), (1.1, "very likely"))
_WEIGHT_WORDS = ((0.7, "a little"), (2.0, "clearly"), (float("inf"), "strongly"))


def chance_words(chance: float) -> str:
    """A chance, 0 to 1, as one says it. The limits: common practice, no source.

    >>> chance_words(0.62)
    'likely'
    """
    return next(words for limit, words in _CHANCE_WORDS if chance < limit)


def percent_words(chance: float) -> str:
    """A chance, 0 to 1, in whole per cent: never as if nothing could be otherwise.

    >>> [percent_words(chance) for chance in (0.004, 0.81, 0.9996)]
    ['under 1\u00a0%', '81\u00a0%', 'over 99\u00a0%']
    """
    if chance < 0.01:
        return "under 1\u00a0%"
    return "over 99\u00a0%" if chance > 0.99 else f"{chance * 100:.0f}\u00a0%"


def finding_words(bank: Bank, finding: str) -> str:
    """ "id=value", or two joined by a plus, as question and answer."""
    return " ".join(_one_finding(bank, part) for part in finding.split("+"))


def _one_finding(bank: Bank, part: str) -> str:
    question_id, _, value = part.partition("=")
    if question_id == "heard":
        return HEARD_WORDS.get(value, f"The clip: {value}.")
    if question_id not in {question.id for question in bank.questions}:
        return f"{part}."  # an answer to a question that an older edition had
    question = bank.question(question_id)
    said = f"{value} {question.unit}" if question.kind == NUMBER else question.say(value)
    return f"{question.ask} {said}."


def weight_words(towards: str, weight: float) -> str:
    """Which way and how much an answer speaks; weight: natural log of an odds ratio.

    >>> weight_words("ignition", -1.2)
    'speaks clearly against the ignition'
    """
    much = next(words for limit, words in _WEIGHT_WORDS if abs(weight) <= limit)
    if towards == NOTHING_WRONG:
        return f"speaks {much} {'for nothing being wrong' if weight > 0 else 'for a fault'}"
    return f"speaks {much} {'for' if weight > 0 else 'against'} {GROUP_WORDS[towards]}"


def leading_group(result: Mapping[str, Any]) -> str:
    """The likeliest group of faults of a judgement given as plain values."""
    groups: Mapping[str, float] = result["groups"]
    return max(GROUPS, key=lambda group: groups[group])


def reasons_for_the_workshop(bank: Bank, result: Mapping[str, Any], most: int = 3) -> list[str]:
    """Why it goes where it goes: a rule first, for it decides; then the answers that weighed most; a price last."""
    why = why_in_words(bank, result["why"])
    answers = []
    for reason in result["because"][:most]:
        said = finding_words(bank, reason["answer"]).rstrip(".")
        answers.append(f"{said}: {weight_words(reason['towards'], reason['weight'])}.")
    return [why, *answers] if result["route"] == routes.DO_NOT_RUN else [*answers, why]


def why_in_words(bank: Bank, why: str) -> str:
    """The judgement's own sentence as a person reads it: findings as question and answer, pence as pounds."""
    known = {question.id for question in bank.questions}

    def said(match: re.Match[str]) -> str:
        return f"\u201c{finding_words(bank, match[0])}\u201d" if match[1] in known else match[0]

    with_answers = _NAMED_FINDING.sub(said, why).replace(".\u201d", "\u201d")
    in_pounds = _PENCE.sub(lambda match: money.in_words(money.from_pence(int(match[1]))), with_answers)
    return _PERCENT.sub(lambda match: percent_words(int(match[1]) / 100), in_pounds)


def what_pointed(bank: Bank, result: Mapping[str, Any], most: int = 3) -> list[str]:
    """What the owner said that points the way the judgement went, without figures; a rule's findings come first.

    Towards the bench points what speaks for the likeliest group, and what speaks most against nothing being wrong.
    """
    if result["route"] == routes.DO_NOT_RUN:
        named = [part.rstrip(".,") for part in result["why"].split() if "=" in part]
        return [finding_words(bank, finding) for finding in named]
    is_ready = result["route"] == routes.ROLLER_READY
    towards = NOTHING_WRONG if is_ready else leading_group(result)
    spoke = [
        r["answer"]
        for r in result["because"]
        if (r["towards"] == towards and r["weight"] > 0)
        or (not is_ready and r["towards"] == NOTHING_WRONG and r["weight"] < 0)
    ]
    return [finding_words(bank, answer) for answer in spoke[:most]]


def to_ask_words(
    bank: Bank, result: Mapping[str, Any], open_questions: Sequence[str], most: int = 4, first: str = ""
) -> list[str]:
    """What to ask on the telephone: the answer worth most, then what was left unsure or not tried."""
    asked = result["ask_next"]
    ids = dict.fromkeys(([asked["question"]] if asked else []) + list(open_questions))
    lines = [bank.question(question).ask for question in ids][:most]
    if first:
        lines.insert(0, first)
    return lines or ["Ask to have the trouble described again: the answers so far do not settle it."]


@dataclass(frozen=True)
class Outcome:
    """What the owner is told: a heading, sentences, what happens to the time and to the deposit (may be empty)."""

    heading: str
    says: tuple[str, ...]
    slot: str
    deposit: str


@dataclass(frozen=True)
class Standing:
    """How the visit stands when the owner is told. deposit_words: the money paid, as "£30.00", or empty."""

    is_roller_visit: bool
    is_decided: bool
    has_time: bool
    deposit_words: str


def outcome(result: Mapping[str, Any], standing: Standing) -> Outcome:
    """The judgement as the owner reads it."""
    route = result["route"]
    return Outcome(_HEADINGS[route], _says(result), _slot(route, standing), _deposit(route, standing))


_HEADINGS = {
    routes.ROLLER_READY: "Ready for the rollers",
    routes.FIX_FIRST: "The bench first, then the rollers",
    routes.PHONE_FIRST: "We will ring you",
    routes.DO_NOT_RUN: "Please do not run it hard",
}


def _says(result: Mapping[str, Any]) -> tuple[str, ...]:
    group = GROUP_WORDS[leading_group(result)]
    return (
        {
            routes.ROLLER_READY: ("Nothing you tell us speaks against the rollers. Bring it as agreed.",),
            routes.FIX_FIRST: (
                f"What you tell us points to {group} more than to anything the rollers could cure.",
                "Jets cannot be chosen on an engine that breaks down for another reason, so the bench looks first.",
            ),
            routes.PHONE_FIRST: (
                "Your answers leave a question open that is settled sooner by talking than by writing.",
                "A person of the workshop rings you before anything is moved.",
            ),
            routes.DO_NOT_RUN: (
                "Do not hold it at full throttle, on the road or on the stand, and do not ride it hard.",
                "Bring it on a trailer or in a van. What you tell us can harm an engine within seconds at full "
                "throttle, so the bench looks at it before it is run again.",
            ),
        }[route]
        if (route := result["route"])
        else ()
    )


def _slot(route: str, standing: Standing) -> str:
    if not standing.is_roller_visit:
        return "Your bench time stands." if standing.has_time else "We will write or ring with a bench time."
    if route in {routes.ROLLER_READY, routes.PHONE_FIRST}:
        return "Your time on the rollers stays yours." if standing.has_time else "We will agree a new time with you."
    if not standing.is_decided:
        return (
            "Your time on the rollers stands for now. A person of the workshop looks at this and writes to you before "
            "anything is moved."
        )
    return (
        "Your time on the rollers is given back, so you do not pay for a session that could not help. "
        "We will write or ring with a time for the bench, and the rollers come after it."
    )


def _deposit(route: str, standing: Standing) -> str:
    if not standing.deposit_words:
        return ""
    if standing.is_roller_visit and route in {routes.FIX_FIRST, routes.DO_NOT_RUN}:
        moved = "The deposit" if standing.is_decided else "If the time is moved, the deposit"
        return f"{moved} of {standing.deposit_words} that you paid is kept as credit for the later date."
    return f"The deposit of {standing.deposit_words} that you paid stands."
