"""Check sheets drawn from the bank itself: what is wrong by its base rates, then every answer by its chances."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from diagnostics.core.asking.questions import applies, next_by_worth
from diagnostics.core.bank.bank import NUMBER, Bank
from diagnostics.core.findings import Answer, Case, Costs, MachineFacts
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.core.judging.inference import log_prior, model_of

KINDS = ("set-up", "set-up", "set-up", "power-run")  # what is booked on the rollers, three set-ups to a power run
MACHINES = (
    MachineFacts(),
    MachineFacts(),
    MachineFacts(),
    MachineFacts(ignition="points"),
    MachineFacts(gearbox="automatic"),
)


@dataclass(frozen=True)
class Drawn:
    """faults: what is wrong; case: the sheet with everything answered that can be asked, strobe and
    what says which machine it is apart."""

    faults: frozenset[str]
    case: Case


def draw_sheet(bank: Bank, chance: np.random.Generator) -> Drawn:
    model = model_of(bank)
    machine = MACHINES[chance.integers(len(MACHINES))]
    booked = KINDS[chance.integers(len(KINDS))]
    story = {
        question.id: (str(chance.choice(list(question.share), p=list(question.share.values()))),)
        for question in bank.questions
        if question.is_story
    }
    weight = np.exp(log_prior(model, machine, booked, story))
    drawn = chance.choice(len(weight), p=weight / weight.sum())
    faults = frozenset(fault for fault, has in zip(bank.fault_ids, model.has[drawn], strict=True) if has)
    answers: dict[str, Answer] = {}
    for question in bank.questions:
        is_of_the_machine = not question.background and not question.is_story
        if question.kind == NUMBER or is_of_the_machine or not applies(question, machine, answers):
            continue
        if question.is_story:
            told = story[question.id]
            answers[question.id] = told if question.nothing else told[0]
            continue
        first = model.row[question.id, question.answer_ids[0]]
        chances = model.chance[first : first + len(question.answer_ids), drawn]
        answers[question.id] = str(chance.choice(question.answer_ids, p=chances / chances.sum()))
    costs = Costs(**bank.routing.costs)
    return Drawn(faults, Case("drawn", machine, booked, costs, answers))


def short_sheet(bank: Bank, full: Case) -> tuple[Case, int]:
    """The same sheet filled as the owner is asked, question by question by worth; and how many were asked."""
    asked = replace(full, answers={}, unsure=frozenset())
    done: set[str] = set()
    while (question := next_by_worth(bank, asked, done)) is not None:
        done.add(question.id)
        if question.id in full.answers:
            asked = replace(asked, answers={**asked.answers, question.id: full.answers[question.id]})
        else:
            asked = replace(asked, unsure=asked.unsure | {question.id})
    return asked, len(done)


__all__ = ["REV_OUT", "Drawn", "draw_sheet", "short_sheet"]
