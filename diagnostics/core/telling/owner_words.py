"""A judgement in words for the owner, without bare chances and without blame, in the language in force; and what to ask
them on the telephone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnostics.core.bank.bank import NOTHING_WRONG, Bank
from diagnostics.core.judging.judgement import Caution, Judgement, KeptOffTheRollers, RichPowerRun
from diagnostics.core.remarks import remark_finding
from diagnostics.core.telling.judgement_words import CAUTION_WORDS, GROUP_WORDS, finding_words
from diagnostics.core.telling.remark_words import TO_ASK_WORDS
from garage.core import routes
from garage.core.text.languages import told, told_later

OFFER_A_SET_UP = "Offer a set-up instead of the power run: it runs rich and revs out."
ASK_AGAIN = "Ask them to describe the trouble again: the answers so far do not settle it."


@dataclass(frozen=True)
class Outcome:
    """What the owner reads: a heading, sentences, and what happens to the time and to the deposit (may be empty)."""

    heading: str
    says: tuple[str, ...]
    slot: str
    deposit: str


@dataclass(frozen=True)
class Standing:
    """The state of the visit when the owner is written to. deposit_words: the money paid, as "£30.00", or empty.

    is_asked: to be put right, and its owner says how. picks_a_time: its owner has put it right and picks a new time by
    the link. choose_by_words: until when, or empty if a person rings.
    """

    is_roller_visit: bool
    is_decided: bool
    has_time: bool
    deposit_words: str
    is_asked: bool = False
    picks_a_time: bool = False
    choose_by_words: str = ""


def outcome(judgement: Judgement, standing: Standing, *, route: str) -> Outcome:
    """The judgement in words for the owner. route: the one taken, which may be a person's choice."""
    heading, says = _HEADINGS[route], _SAYS[route] if route != routes.FIX_FIRST else _bench_first(judgement)
    if route == routes.DO_NOT_RUN and Caution.LEAK in judgement.cautions:
        heading, says = LEAKS_HEADING, _LEAKS if len(judgement.stops) == 1 else (*_LEAKS, _SAYS[route][0])
    return Outcome(told(heading), tuple(map(told, says)), _slot(route, standing), _deposit(route, standing))


_HEADINGS = {
    routes.ROLLER_READY: told_later("Ready for the rollers"),
    routes.FIX_FIRST: told_later("The bench first, then the rollers"),
    routes.PHONE_FIRST: told_later("We will ring you"),
    routes.DO_NOT_RUN: told_later("Please do not run it hard"),
}


_SAYS = {
    routes.ROLLER_READY: (told_later("Nothing you’ve told us rules out the rollers. Bring it as agreed."),),
    routes.PHONE_FIRST: (
        told_later("Your answers leave one question open, and a call will settle it sooner than writing."),
        told_later("Someone from the workshop will ring you before anything is moved."),
    ),
    routes.DO_NOT_RUN: (
        told_later("Do not hold it at full throttle, on the road or on the stand, and do not ride it hard."),
        told_later(
            "Bring it on a trailer or in a van. Trouble like this can harm an engine within seconds at full throttle, "
            "so the bench looks at it before it is run again."
        ),
    ),
}


LEAKS_HEADING = told_later("Please do not start it")
_LEAKS = (
    told_later(
        "It leaks petrol, and petrol and its vapour catch fire from a long way off: do not start it and do not ride it."
    ),
    told_later(
        "Turn the petrol tap off and keep it outdoors, away from flames, sparks and anything hot. Bring it on an open "
        "trailer, not in a closed van. The bench puts the leak right before anything else."
    ),
)


def _bench_first(judgement: Judgement) -> tuple[str, ...]:
    return (
        told(
            "What you’ve told us points to {group} rather than to anything the rollers could cure.",
            group=told(GROUP_WORDS[judgement.leading_group]),
        ),
        told("Jets cannot be chosen on an engine that breaks down for another reason, so the bench looks first."),
    )


def _slot(route: str, standing: Standing) -> str:
    if not standing.is_roller_visit:
        if standing.has_time:
            return told("Your bench time stands.")
        return told("We will write or ring with a bench time.")
    if route in {routes.ROLLER_READY, routes.PHONE_FIRST}:
        return _time_on_the_rollers(route, standing)
    if not standing.is_decided:
        return told(
            "You keep your time on the rollers for now. Someone from the workshop will look at this and write to you "
            "before anything is moved."
        )
    if route == routes.FIX_FIRST and standing.is_asked:
        return _choose(standing.choose_by_words)
    return told(
        "Your time on the rollers is given back, so you do not pay for a session that could not help. "
        "We will write or ring with a time for the bench, and the rollers come after it."
    )


def _time_on_the_rollers(route: str, standing: Standing) -> str:
    if standing.picks_a_time and route == routes.ROLLER_READY:
        return told("Now pick a new time on your visit’s page.")
    if standing.has_time:
        return told("You keep your time on the rollers.")
    return told("We will agree a new time with you.")


def _choose(by_words: str) -> str:
    choice = told("Put it right yourself and pick a new time, or leave it with us: choose on your visit’s page.")
    if not by_words:
        soon = told("Your time on the rollers is close, so someone from the workshop rings you about it.")
        return f"{choice} {soon}"
    given_back = told(
        "If we hear nothing by {by}, your time on the rollers is given back, so that you do not pay "
        "for a session that could not help. Until then you keep it.",
        by=by_words,
    )
    return f"{choice} {given_back}"


def _deposit(route: str, standing: Standing) -> str:
    money = standing.deposit_words
    if not money:
        return ""
    if not standing.is_roller_visit or route not in {routes.FIX_FIRST, routes.DO_NOT_RUN}:
        return told("Your deposit of {money} stands.", money=money)
    if standing.is_decided:
        return told("Your deposit of {money} is kept as credit for the later date.", money=money)
    return told("If the time is moved, your deposit of {money} is kept as credit for the later date.", money=money)


def what_pointed(bank: Bank, judgement: Judgement, most: int = 3) -> list[str]:
    """The owner's own answers that support the judgement, without figures. If a rule decided, its findings.

    For the bench these are the answers for the likeliest group, and those against nothing being wrong.
    """
    if judgement.route == routes.DO_NOT_RUN:
        return [finding_words(bank, finding) for finding in judgement.stops]
    if judgement.route == routes.PHONE_FIRST and isinstance(judgement.why, KeptOffTheRollers):
        return [finding_words(bank, finding) for finding in judgement.why.findings]
    is_ready = judgement.route == routes.ROLLER_READY
    towards = NOTHING_WRONG if is_ready else judgement.leading_group
    spoke = [
        reason.answer
        for reason in judgement.because
        if (reason.towards == towards and reason.weight > 0)
        or (not is_ready and reason.towards == NOTHING_WRONG and reason.weight < 0)
    ]
    return [finding_words(bank, answer) for answer in spoke[:most]]


def cautions_for_the_owner(judgement: Judgement) -> list[str]:
    """All but the cautions on running it at all, which the owner reads first in any case."""
    read_first = (Caution.STOPPED, Caution.LEAK)
    return [told(CAUTION_WORDS[caution]) for caution in judgement.cautions if caution not in read_first]


def to_ask_words(bank: Bank, judgement: Judgement, open_questions: Sequence[str], most: int = 4) -> list[str]:
    """What to ask on the telephone: the answer worth most first, then whatever was left unsure or not tried."""
    asked = judgement.ask_next
    ids = dict.fromkeys(([asked.question] if asked else []) + list(open_questions))
    lines = [bank.question(question).ask for question in ids][:most]
    if isinstance(judgement.why, RichPowerRun):
        lines.insert(0, OFFER_A_SET_UP)
    if isinstance(judgement.why, KeptOffTheRollers):
        off = judgement.why.findings
        lines = [words for remark, words in TO_ASK_WORDS.items() if remark_finding(remark) in off] + lines
    return lines or [ASK_AGAIN]
