"""A judgement in words for the workshop, with its figures; and the words shared with other readers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from diagnostics.core.bank.bank import NOTHING_WRONG, NUMBER, Bank
from diagnostics.core.judging.judgement import (
    BookedForTheBench,
    Caution,
    Cheapest,
    Judgement,
    KeptOffTheRollers,
    RichPowerRun,
    RichSetUp,
    Stopped,
)
from diagnostics.core.remarks import NOT_RUN_IN, remark_finding
from diagnostics.core.telling.remark_words import remark_words
from diagnostics.core.telling.rule_words import rule_means
from garage.core import money, routes
from garage.core.text.languages import in_figures, told, told_later

NOT_RUN_IN_SAID = remark_finding(NOT_RUN_IN)
GROUP_WORDS = {
    "ignition": told_later("the ignition"),
    "fuel-air": told_later("fuel and air"),
    "mechanical": told_later("something mechanical"),
    "nothing-wrong": told_later("nothing wrong"),
}
HEARD_WORDS = {
    "revs-out": told_later("The clip: it revs out."),
    "breaks-down": told_later("The clip: it breaks down."),
    "unclear": told_later("The clip: unclear."),
}
CAUTION_WORDS = {
    Caution.STOPPED: told_later(
        "Do not hold it at full throttle, on the road or on the rollers, and do not ride it hard, until the bench has "
        "looked at it. Bring it on a trailer or in a van."
    ),
    Caution.LEAK: told_later(
        "Petrol leaks: do not start it. Tap off, outdoors or well aired, and no flame, spark or hot lamp near it until "
        "the leak is put right."
    ),
    Caution.DRAIN: told_later(
        "Drain the petrol before it runs again, and refill with fresh petrol and the right oil. Do it cold, outdoors, "
        "with no flame about."
    ),
    Caution.FLYWHEEL: told_later(
        "Do not run it until the flywheel and its key have been checked: a flywheel that has moved can come off."
    ),
    Caution.NO_SMALLER_JETS: told_later(
        "Do not fit smaller jets until the ignition is put right: a lean engine seizes."
    ),
    Caution.RICH_OTHERWISE: told_later("Check the choke, float and air filter before changing a jet."),
    Caution.LIMITER: told_later(
        "A rev limiter would sound the same as this ceiling, and the speed this machine should reach on the stand is "
        "not known."
    ),
    Caution.AUTOMATIC: told_later(
        "No neutral: leave the rev-out to the workshop, with the drive belt off or the wheel clear, guarded and short."
    ),
    Caution.FOUR_STROKE: told_later(
        "These rules were made for two-strokes: on this four-stroke take them only as a hint."
    ),
}
REMARKS_KEY = "remarks"
_BESIDE_THE_QUESTIONS = ("heard", REMARKS_KEY)
_CHANCE_WORDS = ((0.05, "very unlikely"), (0.25, "unlikely"), (0.5, "possible"), (0.8, "likely"), (1.1, "very likely"))
_WEIGHT_WORDS = ((0.7, "a little"), (2.0, "clearly"), (float("inf"), "strongly"))


def chance_words(chance: float) -> str:
    """A chance, 0 to 1, in everyday words. The limits: common practice, no source.

    >>> chance_words(0.62)
    'likely'
    """
    return next(words for limit, words in _CHANCE_WORDS if chance < limit)


def percent_words(chance: float) -> str:
    """A chance, 0 to 1, as a whole percentage, never 0 or 100.

    >>> [percent_words(chance) for chance in (0.004, 0.81, 0.9996)]
    ['under 1%', '81%', 'over 99%']
    """
    if chance < 0.01:
        return "under 1%"
    return "over 99%" if chance > 0.99 else f"{chance * 100:.0f}%"


def finding_words(bank: Bank, finding: str) -> str:
    """ "id=value", or two of them joined by a plus, as question and answer, in the language in force."""
    return " ".join(_one_finding(bank, part) for part in finding.split("+"))


def _one_finding(bank: Bank, part: str) -> str:
    question_id, _, value = part.partition("=")
    if question_id == REMARKS_KEY:
        return f"{remark_words(value)}."
    if question_id == "heard":
        return told(HEARD_WORDS[value]) if value in HEARD_WORDS else f"The clip: {value}."
    if question_id not in {question.id for question in bank.questions}:
        return f"{part}."  # a question from an older edition
    question = bank.question(question_id)
    said = f"{in_figures(value)} {told(question.unit)}" if question.kind == NUMBER else told(question.say(value))
    return f"{told(question.ask)} {said}."


def weight_words(towards: str, weight: float) -> str:
    """Which way an answer points, and how strongly; weight: natural log of an odds ratio.

    >>> weight_words("ignition", -1.2)
    'points clearly away from the ignition'
    """
    much = next(words for limit, words in _WEIGHT_WORDS if abs(weight) <= limit)
    if towards == NOTHING_WRONG:
        return f"points {much} to {'nothing being wrong' if weight > 0 else 'a fault'}"
    return f"points {much} {'to' if weight > 0 else 'away from'} {GROUP_WORDS[towards]}"


def reasons_for_the_workshop(bank: Bank, judgement: Judgement, most: int = 3) -> list[str]:
    """Why it takes its route. A rule that stops it is said with what it means, and nothing weighs against it; a cost
    comes after the strongest answers.
    """
    why = why_in_words(bank, judgement)
    if judgement.route == routes.DO_NOT_RUN:
        return [why, *rule_means(judgement)]
    answers = []
    for reason in judgement.because[:most]:
        said = finding_words(bank, reason.answer).rstrip(".")
        answers.append(f"{said}: {weight_words(reason.towards, reason.weight)}.")
    return [why, *answers] if isinstance(judgement.why, KeptOffTheRollers) else [*answers, why]


def stop_words(bank: Bank, judgement: Judgement) -> tuple[str, ...]:
    """The findings that fired a do-not-run rule, a sentence each; empty if none did."""
    return tuple(finding_words(bank, finding) for finding in judgement.stops)


@dataclass(frozen=True)
class Voice:
    """How to put a finding ("id=value"), an amount in pence and a chance from 0 to 1 into words."""

    finding: Callable[[str], str]
    money: Callable[[float], str]
    chance: Callable[[float], str]


def why_in_words(bank: Bank, judgement: Judgement) -> str:
    """What decided the route, for the workshop: findings as question and answer, money in pounds."""
    voice = Voice(
        finding=lambda finding: _quoted_if_known(bank, finding),
        money=lambda pence: money.pounds_words(money.from_pence(round(pence))),
        chance=lambda chance: percent_words(round(chance, 2)),
    )
    return why_sentence(judgement, voice)


def why_sentence(judgement: Judgement, voice: Voice) -> str:
    """What decided the route, in one sentence."""
    why = judgement.why
    match why:
        case Stopped():
            return f"Do not run it until the bench has looked at it: {_named(why, voice)}."
        case KeptOffTheRollers():
            return _kept_off_sentence(judgement.route, why, voice)
        case BookedForTheBench():
            return "Booked for the bench: there is no roller slot to lose."
        case RichSetUp():
            return f"Merely rich (chance {voice.chance(why.chance)}): that is what a set-up is for."
        case RichPowerRun():
            return f"Merely rich (chance {voice.chance(why.chance)}): offer a set-up instead of the power run."
        case Cheapest():
            chosen, cheaper = routes.WORDS[judgement.route].capitalize(), voice.money(why.by_pence)
            spoilt = voice.chance(judgement.spoilt_chance)
            return (
                f"{chosen} is {cheaper} cheaper than {routes.WORDS[why.next_route]}: "
                f"the chance that the visit would be spoilt is {spoilt}."
            )


def _named(why: Stopped | KeptOffTheRollers, voice: Voice) -> str:
    unless = ", unless it is made to advance" if why.unless_made_to_advance else ""
    return ", ".join(voice.finding(finding) for finding in why.findings) + unless


def _kept_off_sentence(route: str, why: KeptOffTheRollers, voice: Voice) -> str:
    if not why.findings:
        return "There is no answer to go by yet: ring the owner before it takes roller time."
    because = f"Not roller-ready because of {_named(why, voice)}"
    if why.by_pence is None:
        how_far = " and ask how far it has run and how it is to be run in" if NOT_RUN_IN_SAID in why.findings else ""
        return f"{because}: ring the owner first{how_far}."
    return (
        f"{because}; {routes.WORDS[route]} is {voice.money(why.by_pence)} cheaper than {routes.WORDS[why.next_route]}."
    )


def quoted(bank: Bank, finding: str) -> str:
    return f"\u201c{finding_words(bank, finding).rstrip('.')}\u201d"


def _quoted_if_known(bank: Bank, finding: str) -> str:
    """A question from an older edition has no wording here, so its id is shown."""
    is_known = finding.partition("=")[0] in {*_BESIDE_THE_QUESTIONS, *(question.id for question in bank.questions)}
    return quoted(bank, finding) if is_known else finding
