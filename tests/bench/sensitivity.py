"""Which numbers of the bank matter: `python -m tests.bench.sensitivity`.

Each base rate is halved and doubled, and each link (how likely a fault shows an answer) is moved by a third, down and
up. For each it is counted of how many written cases and drawn sheets the route turns.

Only what a number touches is computed anew: a base rate changes the prior, a link one question's chances.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from diagnostics.core.arrays import Float64s
from diagnostics.core.bank.bank import VISIT_KINDS, Bank, Question
from diagnostics.core.bank.reader import MOST_SHOWN
from diagnostics.core.findings import Case, read_case
from diagnostics.core.judging.evidence import REV_OUT, gather, heard_of, rev_out_chances, story_of
from diagnostics.core.judging.inference import Model, answer_chances, log_prior, model_of
from diagnostics.core.judging.routing import Odds, rich_mask, route_by, spoils_mask
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.test_trade_cases import CASES

RATES = ((0.5, "halved"), (2.0, "doubled"))
LINKS = ((2 / 3, "a third less"), (4 / 3, "a third more"))
MOST_RATE = 0.9  # as the bank's reader allows
MOST_ROWS = 40  # links listed, those that turn most

NOTE = """# Which numbers of the bank matter

Written by `make bench`. Each number is moved by itself, and it is counted of how many of {written} written cases and
{drawn} sheets drawn from the bank the route turns. A number that turns no route may be wrong by as much without harm;
one that turns several is worth a source, or a garage's own cards.

{summary}

## Base rates

| fault | chance | halved: written | drawn | doubled: written | drawn |
|---|---|---|---|---|---|
{rates}

## Links: the {rows} that turn most of {links}

| question | fault | answer | chance | a third less: written | drawn | a third more: written | drawn |
|---|---|---|---|---|---|---|---|
{table}
"""


@dataclass(frozen=True)
class Turned:
    """Of how many written cases and drawn sheets the route turns."""

    written: int
    drawn: int

    @property
    def both(self) -> int:
        return self.written + self.drawn


@dataclass(frozen=True)
class Moved:
    """A number of the bank: what it is, what it is now, and what turns with less and with more of it."""

    names: tuple[str, ...]
    chance: float
    less: Turned
    more: Turned

    @property
    def most(self) -> int:
        return max(self.less.both, self.more.both)


class Routes:
    """The cases and the routes that they have; those of `written` come first."""

    def __init__(self, bank: Bank, written: Sequence[Case], drawn: Sequence[Case]) -> None:
        self.model, self.written = model_of(bank), len(written)
        self.cases = [*written, *drawn]
        self.log_weight = np.array([gather(self.model, case).log_weight for case in self.cases])
        self.prior = np.array([prior_of(self.model, case) for case in self.cases])
        masks = [spoils_mask(self.model, kind) for kind in VISIT_KINDS]
        masks += [spoils_mask(self.model, kind, jetting_too=False) for kind in VISIT_KINDS]
        self.masks = np.array([*masks, rich_mask(self.model)]).T
        self.now = self._routes(range(len(self.cases)), self.log_weight)

    def _routes(self, places: Sequence[int], log_weight: Float64s) -> list[str]:
        weight = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
        chances = (weight @ self.masks) / weight.sum(axis=1, keepdims=True)
        return [self._route(self.cases[place], row) for place, row in zip(places, chances.tolist(), strict=True)]

    def _route(self, case: Case, chances: list[float]) -> str:
        kind = VISIT_KINDS.index(case.booked)
        return route_by(self.model, case, Odds(chances[kind], chances[len(VISIT_KINDS) + kind], chances[-1])).route

    def turned(self, places: Sequence[int], log_weight: Float64s) -> Turned:
        """log_weight: (places, sets) of the cases at these places."""
        if not places:
            return Turned(0, 0)
        turned = [
            place
            for place, route in zip(places, self._routes(places, log_weight), strict=True)
            if route != self.now[place]
        ]
        written = sum(place < self.written for place in turned)
        return Turned(written, len(turned) - written)

    def by_rate(self, fault: str, factor: float) -> Turned:
        bank = self.model.bank
        faults = tuple(
            replace(one, chance=min(one.chance * factor, MOST_RATE)) if one.id == fault else one for one in bank.faults
        )
        model = replace(self.model, bank=replace(bank, faults=faults))
        prior = np.array([prior_of(model, case) for case in self.cases])
        return self.turned(range(len(self.cases)), self.log_weight - self.prior + prior)

    def by_link(self, question: Question, fault: str, answer: str, factor: float) -> Turned:
        places = [place for place, case in enumerate(self.cases) if self._is_touched(case, question)]
        moved = with_link(question, fault, answer, factor)
        shown = answer_chances(moved, self.model.bank.fault_ids, self.model.has)
        model = replace(self.model, shown={**self.model.shown, question.id: shown})
        change = [
            np.log(likelihood(model, self.cases[place], moved, shown))
            - np.log(likelihood(self.model, self.cases[place], question, None))
            for place in places
        ]
        return self.turned(places, self.log_weight[places] + np.array(change).reshape(len(places), -1))

    def _is_touched(self, case: Case, question: Question) -> bool:
        is_heard = question.id == REV_OUT and heard_of(self.model, case) is not None
        return is_heard or isinstance(case.answers.get(question.id), str)


def prior_of(model: Model, case: Case) -> Float64s:
    return log_prior(model, case.machine, case.booked, story_of(model, case))


def likelihood(model: Model, case: Case, question: Question, shown: Float64s | None) -> Float64s:
    """(sets,) of the case's answer. shown: (answers, sets) if the question's chances are not those of the model."""
    answer = case.answers.get(question.id)
    heard = heard_of(model, case) if question.id == REV_OUT else None
    word = answer if isinstance(answer, str) else None
    if heard is not None:
        return rev_out_chances(model, word, heard)
    if shown is None:
        return model.chance[model.row[question.id, str(word)]]
    if not question.said:
        return np.asarray(shown[question.answer_ids.index(str(word))])
    return np.array([question.said[was][str(word)] for was in question.answer_ids]) @ shown


def with_link(question: Question, fault: str, answer: str, factor: float) -> Question:
    """The question with one link moved, as far as all links of the fault leave room for it."""
    links = question.shows[fault]
    room = MOST_SHOWN - sum(chance for other, chance in links.items() if other != answer)
    return replace(question, shows={**question.shows, fault: {**links, answer: min(links[answer] * factor, room)}})


def links_of(bank: Bank) -> Iterator[tuple[Question, str, str]]:
    for question in bank.questions:
        for fault, links in question.shows.items():
            for answer in links:
                yield question, fault, answer


def rates_moved(routes: Routes) -> list[Moved]:
    return [
        Moved((fault.id,), fault.chance, *(routes.by_rate(fault.id, factor) for factor, _ in RATES))
        for fault in routes.model.bank.faults
    ]


def links_moved(routes: Routes) -> list[Moved]:
    return [
        Moved(
            (question.id, fault, answer),
            question.shows[fault][answer],
            *(routes.by_link(question, fault, answer, factor) for factor, _ in LINKS),
        )
        for question, fault, answer in links_of(routes.model.bank)
    ]


def cases_of(bank: Bank, sheets: int) -> tuple[list[Case], list[Case]]:
    chance = np.random.default_rng(2027)
    written = [read_case(bank, {"case": "written", **case["in"]}) for case in CASES]
    return written, [draw_sheet(bank, chance).case for _ in range(sheets)]


def told(routes: Routes, rates: Sequence[Moved], links: Sequence[Moved]) -> str:
    drawn = len(routes.cases) - routes.written
    still = sum(moved.most == 0 for moved in links)
    most = max((moved.most for moved in links), default=0)
    mean = np.mean([turned.both for moved in links for turned in (moved.less, moved.more)]) / len(routes.cases)
    summary = (
        f"Of {len(links)} links {still} turn no route when moved by a third, and none turns more than {most} of "
        f"{len(routes.cases)}; in the mean a moved link turns {mean:.2%}. A base rate halved or doubled turns "
        f"{max(moved.most for moved in rates) / len(routes.cases):.1%} at most."
    )
    first = sorted(links, key=lambda moved: (-moved.most, moved.names))[:MOST_ROWS]
    return NOTE.format(
        written=routes.written,
        drawn=drawn,
        summary=summary,
        rates="\n".join(_row(moved) for moved in sorted(rates, key=lambda moved: (-moved.most, moved.names))),
        rows=len(first),
        links=len(links),
        table="\n".join(_row(moved) for moved in first),
    )


def _row(moved: Moved) -> str:
    counts = [count for turned in (moved.less, moved.more) for count in (turned.written, turned.drawn)]
    return "| " + " | ".join([*moved.names, f"{moved.chance:g}", *map(str, counts)]) + " |"


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("note", type=Path, nargs="?", help="file to write the table to")
    parser.add_argument("--sheets", type=int, default=300)
    chosen = parser.parse_args()
    bank = the_bank()
    routes = Routes(bank, *cases_of(bank, chosen.sheets))
    text = told(routes, rates_moved(routes), links_moved(routes))
    sys.stdout.write(text)
    if chosen.note is not None:
        chosen.note.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
