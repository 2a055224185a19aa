"""Which visit kind to book, for an owner who does not know: a few answers, judged like any check sheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnostics.core.assess import assess
from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Answer, read_case
from diagnostics.core.telling.owner_words import what_pointed
from garage.core import routes
from garage.core.text.languages import told, told_later

ASKED = ("nipped", "pinking", "changed", "rev_out")
NEEDS_JETTING = frozenset({"jets-bigger", "jets-smaller", "exhaust", "cylinder", "carburettor", "air-filter"})

RICH = told_later(
    "Smoky or lumpy, but it gets there and holds: that’s a rich engine, and a set-up is for exactly that."
)
CLEAN = told_later("It revs out, and nothing has been changed that needs other jets: a power run shows what it makes.")
OTHER_JETS = told_later("What you changed needs other jets: a set-up finds them on the rollers.")
REVS_OUT = frozenset({"clean", "smoky"})
STOPPED = (
    told_later("Don’t hold it at full throttle, on the road or on the stand, until the bench has looked at it."),
    told_later("Book a bench check and bring it on a trailer or in a van."),
)
BENCH_FIRST = (
    told_later("A session on the rollers might be wasted: something else should be looked at before the jets."),
    told_later("Book a bench check: it finds out what it is. The rollers come after that."),
)
TOO_LITTLE_KNOWN = (
    told_later("We know too little to risk a session on the rollers."),
    told_later(
        "Book a bench check, which finds out what it needs. Or try the rev-out first, if that’s safe, and ask again."
    ),
)
NOT_KNOWN = (
    told_later("Nothing points to a fault, but we don’t know whether it revs out: a set-up has time to look."),
    told_later("Try the rev-out before you come, if you can do it safely. The check sheet will ask again."),
)


@dataclass(frozen=True)
class Advice:
    """book: set-up, power-run or bench. says: why. pointed: the answers behind it. do_not_run: warn plainly."""

    book: str
    says: tuple[str, ...]
    pointed: tuple[str, ...]
    do_not_run: bool = False


def advise(bank: Bank, answers: Mapping[str, Any]) -> Advice:
    """answers: as in the manual of `assess`, `unsure` allowed. Raises BadInput naming an unknown answer.

    The case is judged as a set-up, since what spoils that spoils a power run too. If the judgement would rather ask by
    telephone, an engine that revs out may go on the rollers, because merely rich is what a set-up is for. For any other
    engine, the cheaper of bench and rollers is advised.
    """
    case = read_case(bank, {"case": "ask", "booked": "set-up", "answers": dict(answers)})
    judged = assess(bank, case)
    pointed = tuple(what_pointed(bank, judged))
    if judged.route == routes.DO_NOT_RUN:
        return _advice("bench", STOPPED, pointed, do_not_run=True)
    if judged.route == routes.FIX_FIRST:
        return _advice("bench", BENCH_FIRST, pointed)
    costs = judged.route_costs_pence
    revs_out = case.answers.get("rev_out") in REVS_OUT
    if not revs_out and costs[routes.FIX_FIRST] < costs[routes.ROLLER_READY]:
        return _advice("bench", TOO_LITTLE_KNOWN)
    return _for_the_rollers(case.answers)


def _for_the_rollers(answers: Mapping[str, Answer]) -> Advice:
    changed = answers.get("changed", ())
    rev_out = answers.get("rev_out")
    if rev_out == "smoky":
        return _advice("set-up", (RICH,))
    if isinstance(changed, tuple) and NEEDS_JETTING & set(changed):
        return _advice("set-up", (OTHER_JETS,))
    if rev_out == "clean":
        return _advice("power-run", (CLEAN,))
    return _advice("set-up", NOT_KNOWN)


def _advice(book: str, says: tuple[str, ...], pointed: tuple[str, ...] = (), *, do_not_run: bool = False) -> Advice:
    return Advice(book, tuple(map(told, says)), pointed, do_not_run)


def is_passed_over(question: str, given: Mapping[str, Any]) -> bool:
    """The rev-out is not asked for of a machine that has nipped up or rattles."""
    return question == "rev_out" and "yes" in (given.get("nipped"), given.get("pinking"))
