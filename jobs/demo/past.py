"""The demo's past year: invented visits sampled from the bank, with some habits of the garage's own to learn from.

The random seed is fixed. The true causes of each machine are sampled first, so they are known.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from diagnostics.core.asking.worth import applies
from diagnostics.core.bank.bank import NUMBER, Bank
from diagnostics.core.findings import Answer, read_machine
from diagnostics.core.judging.inference import Model, log_prior, model_of
from diagnostics.reads.bank import the_bank
from diagnostics.reads.machine_facts import machine_facts
from garage.models import owners
from garage.models.owners import MachineKind
from garage.models.shop import ROLLER
from garage.reads.opening import open_days
from jobs.demo import past_visits
from jobs.demo.booking import Desk
from jobs.demo.past_visits import PastMachine, PastVisit

MANY = 132  # visits
SEED = 185
BEFORE = timedelta(days=480), timedelta(days=12)  # first and last
MINUTES = (8 * 60 + 30, 10 * 60 + 30, 13 * 60 + 30)  # local
OFTENER = {"spark-module": 3.0, "rich-otherwise": 0.4}  # on the odds: how this garage differs from the bank
KINDS = ("set-up", "set-up", "set-up", "power-run", "power-run", "bench-check")
ALSO_ASKED = 4  # questions in addition to those always asked
NOT_JUDGED, UNSURE, KEPT, HELD, OWN_WORDS, CAME_BACK = 0.08, 0.08, 0.12, 0.4, 0.03, 0.03  # shares
FIRST_NAMES = ("Sandy", "Frankie", "Jamie", "Lee", "Morgan", "Casey", "Drew", "Toni")
SURNAMES = ("Thwaite", "Scarrow", "Mossend", "Garthwick", "Holmfirth", "Beckside", "Ullock", "Rigg")
FIRST_NUMBER = 600  # telephone numbers start at 07700 900600
WORDS = ("cracked intake rubber boot", "wrong needle clip after a rebuild", "stretched throttle cable")


def told(desk: Desk) -> None:
    chance = np.random.default_rng(SEED)
    machines = _machines(desk, chance)
    bank = the_bank()
    truth = _as_it_is_here(bank)
    days = list(
        open_days(desk.shop, desk.today - BEFORE[0], desk.today - BEFORE[1]).days(
            desk.today - BEFORE[0], desk.today - BEFORE[1]
        )
    )
    places = [days[len(days) * index // MANY] for index in range(MANY)]
    past_visits.put_down(
        [_visit(desk, truth, day, machines, chance) for day in places], by=desk.garage.mechanic, now=desk.now
    )


def _as_it_is_here(bank: Bank) -> Model:
    def here(fault_id: str, share: float) -> float:
        odds = OFTENER.get(fault_id, 1.0) * share / (1 - share)
        return odds / (1 + odds)

    return model_of(replace(bank, faults=tuple(replace(f, chance=here(f.id, f.chance)) for f in bank.faults)))


def _machines(desk: Desk, chance: np.random.Generator) -> list[PastMachine]:
    kinds = list(desk.garage.machine_kinds.values())
    names = [(first, last) for last in SURNAMES for first in FIRST_NAMES]
    return [
        PastMachine(
            owner=f"{first} {last}",
            email=f"{first}.{last}@example.org".lower(),
            telephone=f"07700 900{FIRST_NUMBER + index}",
            kind=(kind := kinds[chance.integers(len(kinds))]),
            year=_year(kind, chance),
        )
        for index, (first, last) in enumerate(names)
    ]


def _year(kind: MachineKind, chance: np.random.Generator) -> int:
    if kind.first_year is None or kind.last_year is None:
        raise ValueError(f"the demo's {kind} has no first or last year")
    return int(chance.integers(kind.first_year, kind.last_year + 1))


def _visit(desk: Desk, truth: Model, day: date, machines: list[PastMachine], chance: np.random.Generator) -> PastVisit:
    machine = machines[chance.integers(len(machines))]
    kind = desk.garage.visit_kinds[KINDS[chance.integers(len(KINDS))]]
    causes, answers = _drawn(truth, machine, kind.booked_as, chance)
    own_words = WORDS[chance.integers(len(WORDS))] if chance.random() < OWN_WORDS else ""
    starts_at = desk.local.at_minute(day, MINUTES[chance.integers(len(MINUTES))])
    is_spoilt = any(kind.booked_as in truth.bank.fault(cause).spoils for cause in causes)
    return PastVisit(
        machine=machine,
        kind=kind,
        starts_at=starts_at,
        answers=answers if chance.random() >= NOT_JUDGED else {},
        causes=causes,
        words=own_words,
        kept_its_time=chance.random() < KEPT,
        is_held_at_the_gate=kind.at == ROLLER and is_spoilt and chance.random() < HELD,
        came_back_at=starts_at + timedelta(days=9) if causes and chance.random() < CAME_BACK * 2 else None,
    )


def _drawn(
    truth: Model, known: PastMachine, booked: str, chance: np.random.Generator
) -> tuple[tuple[str, ...], dict[str, object]]:
    """Samples causes from this garage's base rates, then a check sheet from the bank's chances given those causes."""
    bank = truth.bank
    machine = read_machine(machine_facts(owners.Machine(kind=known.kind)))
    story = {q.id: (str(chance.choice(list(q.share), p=list(q.share.values()))),) for q in bank.questions if q.is_story}
    weight = np.exp(log_prior(truth, machine, booked, story))
    drawn = int(chance.choice(len(weight), p=weight / weight.sum()))
    causes = tuple(fault for fault, has in zip(bank.fault_ids, truth.has[drawn], strict=True) if has)
    beside = [q.id for q in bank.questions if not q.always and q.kind != NUMBER]
    asked = set(chance.choice(beside, ALSO_ASKED, replace=False))
    answers: dict[str, Answer] = {}
    for question in bank.questions:
        if not (question.always or question.id in asked) or not applies(question, machine, answers):
            continue
        if question.is_story:
            told_so = story[question.id]
            answers[question.id] = told_so if question.nothing else told_so[0]
        elif not question.always and chance.random() < UNSURE:
            answers[question.id] = "unsure"
        else:
            rows = [truth.row[question.id, answer] for answer in question.answer_ids]
            chances = truth.chance[rows, drawn]
            answers[question.id] = str(chance.choice(question.answer_ids, p=chances / chances.sum()))
    return causes, {q: list(a) if isinstance(a, tuple) else a for q, a in answers.items()}
