"""Which visit kind to book, for an owner who does not know: a few answers, judged as any sheet is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnostics.core.assess import assess
from diagnostics.core.bank import Bank
from diagnostics.core.findings import Answer, read_case
from diagnostics.core.judgement_words import what_pointed
from garage.core import routes

ASKED = ("nipped", "pinking", "changed", "rev_out")
NEEDS_JETTING = frozenset({"jets-bigger", "jets-smaller", "exhaust", "cylinder", "carburettor", "air-filter"})

RICH = "Smoky or lumpy, but it gets there and holds: that is a rich engine, and a set-up is for exactly that."
CLEAN = "It revs out and nothing was changed that wants other jets: a power run shows what it gives."
NOT_KNOWN = (
    "Nothing speaks for a fault, but it is not known whether it revs out: a set-up has the time to look.",
    "Try the rev-out before you come, if you can do it safely; the check sheet asks again.",
)


@dataclass(frozen=True)
class Advice:
    """book: set-up, power-run or bench. says: why. pointed: the answers behind it. do_not_run: warn plainly."""

    book: str
    says: tuple[str, ...]
    pointed: tuple[str, ...]
    do_not_run: bool = False


def advise(bank: Bank, answers: Mapping[str, Any]) -> Advice:
    """answers: as in the contract of assess, `unsure` allowed. Raises BadInput naming an answer that is none.

    A set-up is judged first: what would spoil it spoils a power run too. Merely rich is what a set-up is for.
    """
    judged = assess(bank, read_case(bank, {"case": "ask", "booked": "set-up", "answers": dict(answers)}))
    result = judged.to_json()
    if judged.route == routes.DO_NOT_RUN:
        says = (
            "Do not hold it at full throttle, on the road or on the stand, until the bench has looked.",
            "Book a bench check and bring it on a trailer or in a van.",
        )
        return Advice("bench", says, tuple(what_pointed(bank, result)), do_not_run=True)
    if judged.route in {routes.FIX_FIRST, routes.PHONE_FIRST}:
        says = (
            "A session on the rollers might be wasted: something else should be looked at before jets are.",
            "Book a bench check: it finds what it is, and the rollers come after it.",
        )
        return Advice("bench", says, tuple(what_pointed(bank, {**result, "route": routes.FIX_FIRST})))
    return _for_the_rollers(read_case(bank, {"case": "ask", "booked": "set-up", "answers": dict(answers)}).answers)


def _for_the_rollers(answers: Mapping[str, Answer]) -> Advice:
    changed = answers.get("changed", ())
    rev_out = answers.get("rev_out")
    if rev_out == "smoky":
        return Advice("set-up", (RICH,), ())
    if isinstance(changed, tuple) and NEEDS_JETTING & set(changed):
        return Advice("set-up", ("What was changed wants other jets: a set-up finds them on the rollers.",), ())
    if rev_out == "clean":
        return Advice("power-run", (CLEAN,), ())
    return Advice("set-up", NOT_KNOWN, ())


def is_passed_over(question: str, given: Mapping[str, Any]) -> bool:
    """The rev-out is not asked for of a machine that has nipped up or rattles."""
    return question == "rev_out" and "yes" in (given.get("nipped"), given.get("pinking"))
