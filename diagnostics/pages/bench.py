"""The bench on the card: what is still worth doing, in what order, what is likely now, and the outcome of each step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnostics.core.bank.bank import Bank
from diagnostics.core.bench.outcomes import Left, StepLeft
from diagnostics.core.guides.guide import Guide
from diagnostics.core.guides.guides import guides_for_step
from diagnostics.core.telling.judgement_words import chance_words, percent_words
from diagnostics.models.bench import BenchOutcome
from diagnostics.pages.causes import CauseLine
from diagnostics.reads.bench_left import found_of, is_known, left_after
from diagnostics.reads.causes import fault_words
from diagnostics.reads.judgement import latest
from diagnostics.reads.weighed import Weighed, weighed, weighed_today
from garage.core import money
from garage.core.routes import DO_NOT_RUN
from garage.models.visits import Visit

LEAST_SHOWN = 0.01  # less likely faults are not listed
FIRST_SHOWN = 5  # steps, and faults, shown on the card before the rest is folded away


@dataclass(frozen=True)
class FaultShown:
    """A fault the step may have shown, by id and name."""

    fault: str
    says: str


@dataclass(frozen=True)
class StepLine:
    """place: from 1, or 0 for a step outside the order. repairs: what puts right what it may show, with its minutes."""

    place: int
    step: StepLeft
    picks: tuple[FaultShown, ...]
    repairs: tuple[str, ...]

    @property
    def percent(self) -> str:
        return _percent(self.step.finds)

    @property
    def guides(self) -> tuple[Guide, ...]:
        return guides_for_step(self.step.id)


@dataclass(frozen=True)
class DoneLine:
    outcome: BenchOutcome
    says: str


@dataclass(frozen=True)
class LeftChance:
    """was: before the bench began, empty if nothing has been found since."""

    name: str
    words: str
    percent: str
    was: str


@dataclass(frozen=True)
class BenchShown:
    """own_words: causes and OKs in the mechanic's own words, which do not affect the chances. confirmed: names of the
    faults found and put right. nothing_left: the chance that no fault is left. price: of the minutes, in words.
    is_stopped: a rule says do not run, so the chances stand folded.
    """

    done: tuple[DoneLine, ...]
    steps: tuple[StepLine, ...] = ()
    others: tuple[StepLine, ...] = ()
    chances: tuple[LeftChance, ...] = ()
    nothing_left: LeftChance | None = None
    confirmed: tuple[str, ...] = ()
    own_words: tuple[str, ...] = ()
    minutes: int = 0
    price: str = ""
    is_stopped: bool = False

    @property
    def has_changed(self) -> bool:
        return any(line.percent != line.was for line in self.chances)

    @property
    def first_steps(self) -> tuple[StepLine, ...]:
        return self.steps[:FIRST_SHOWN]

    @property
    def further_steps(self) -> tuple[StepLine, ...]:
        """Folded away, because a phone screen is short."""
        return self.steps[FIRST_SHOWN:]

    @property
    def first_chances(self) -> tuple[LeftChance, ...]:
        return self.chances[:FIRST_SHOWN]

    @property
    def further_chances(self) -> tuple[LeftChance, ...]:
        return self.chances[FIRST_SHOWN:]


def bench_of(visit: Visit, causes: Sequence[CauseLine], *, is_open: bool) -> BenchShown | None:
    """None if there is nothing to show. causes: those on the card. A closed card shows only what was done."""
    outcomes = list(BenchOutcome.objects.filter(visit=visit, withdrawn_at=None).select_related("by"))
    done = tuple(DoneLine(row, outcome_words(row)) for row in outcomes)
    judgement = latest(visit) if is_open else None
    if judgement is None:
        return BenchShown(done) if done else None
    known = weighed(judgement) or weighed_today(visit)
    left = left_after(known, found_of(outcomes, [line.cause for line in causes]))
    chances, nothing_left = _likely(known, left)
    return BenchShown(
        done=done,
        steps=tuple(_line(place, step) for place, step in enumerate(left.steps, start=1)),
        others=tuple(_line(0, step) for step in left.others),
        chances=chances,
        nothing_left=nothing_left,
        confirmed=tuple(fault_words(fault) for fault in left.confirmed),
        own_words=tuple(line.says for line in causes if not is_known(line.cause)),
        minutes=round(left.expected_minutes),
        is_stopped=judgement.route == DO_NOT_RUN,
        price=money.pounds_words(money.from_pence(round(left.expected_minutes * known.case.costs.bench_minute))),
    )


def outcome_words(row: BenchOutcome) -> str:
    return f"this was it, {fault_words(row.fault)}" if row.fault else "checked, OK"


def _line(place: int, step: StepLeft) -> StepLine:
    picks = tuple(FaultShown(fault, fault_words(fault)) for fault in step.looks_for)
    return StepLine(place, step, picks, tuple(f"{do}, {minutes:g} min" for do, minutes in step.repairs))


def _likely(known: Weighed, left: Left) -> tuple[tuple[LeftChance, ...], LeftChance]:
    """The chance of each fault left, and of none, with what it was before the bench began."""
    weight = known.evidence.weight()
    before = dict(zip(known.model.bank.fault_ids, (weight @ known.model.has).tolist(), strict=True))
    by_chance = sorted(left.chances.items(), key=lambda item: -item[1])
    shown = [fault for fault, chance in by_chance if max(chance, before[fault]) >= LEAST_SHOWN]
    nothing_wrong = float(weight @ (1.0 - known.model.has.max(axis=1)))
    chances = tuple(_chance(_name(known.model.bank, f), left.chances[f], before[f]) for f in shown)
    return chances, _chance("Nothing, or nothing more", left.nothing_left, nothing_wrong)


def _name(bank: Bank, fault: str) -> str:
    return bank.fault(fault).say


def _chance(name: str, chance: float, before: float) -> LeftChance:
    return LeftChance(name, chance_words(chance), _percent(chance), _percent(before))


def _percent(chance: float) -> str:
    return "out" if chance <= 0.0 else percent_words(chance)
