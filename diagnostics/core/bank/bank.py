"""The bank as values: what can be wrong, what may be asked, what the bench can do. Read by bank_reader.py."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

GROUPS = ("ignition", "fuel-air", "mechanical")
NOTHING_WRONG = "nothing-wrong"
VISIT_KINDS = ("set-up", "power-run", "bench")
ONE, SEVERAL, NUMBER = "one", "several", "number"


@dataclass(frozen=True, eq=False)
class Fault:
    """say: its name in plain words. chance: how often a machine has it that is like none of `times`.

    spoils: the visit kinds that are wasted on a machine with it. is_jetting: a jetting fault or rich for another
    reason, left out where "merely rich" is judged. times: factors on its odds by what is known of the machine or
    booked: points, battery, automatic, four-stroke, and the visit kinds.
    """

    id: str
    group: str
    say: str
    spoils: frozenset[str]
    is_jetting: bool
    chance: float
    times: Mapping[str, float]


@dataclass(frozen=True)
class Choice:
    id: str
    say: str


@dataclass(frozen=True, eq=False)
class Question:
    """What the owner is asked and what each answer means.

    kind: one answer, several, or a number (lowest to highest, in `unit`). answers: in rising order: where two faults
    show different ones, the later one is given. background: chances of the answers where no fault shows any; shows:
    fault id to answer id to the chance that it brings it about, net of the background; said: what is said of what
    was shown, where the two differ. A question about the machine's story has `share` (how often each answer is given)
    and `factors` (answer id to fault id to the factor on its odds) instead. cost_pence: what asking costs.
    not_on: kinds of machine it cannot be asked of; not_when: answers to others after which it is not asked.
    """

    id: str
    ask: str
    how: tuple[str, ...]
    cautions: tuple[str, ...]
    kind: str
    answers: tuple[Choice, ...]
    nothing: str
    unit: str
    lowest: float
    highest: float
    always: bool
    not_on: frozenset[str]
    not_when: Mapping[str, tuple[str, ...]]
    cost_pence: float
    background: Mapping[str, float]
    shows: Mapping[str, Mapping[str, float]]
    said: Mapping[str, Mapping[str, float]]
    share: Mapping[str, float]
    factors: Mapping[str, Mapping[str, float]]

    @cached_property
    def answer_ids(self) -> tuple[str, ...]:
        return tuple(choice.id for choice in self.answers)

    @property
    def is_story(self) -> bool:
        """Whether the answer moves the base rates rather than being a sign of a fault."""
        return bool(self.share)

    def say(self, answer: str) -> str:
        """The words of an answer on the sheet; the id itself where it is none of them (a number)."""
        return next((choice.say for choice in self.answers if choice.id == answer), answer)


@dataclass(frozen=True)
class Routing:
    """The shares of the route rule; the costs in pence by their names.

    stopped_in_time_pence: what it is worth to learn before the visit that a machine must not be run.
    """

    settled_by_call: float
    settled_by_call_at_most: float
    settled_more_by_a_contradiction: float
    merely_rich: float
    stopped_in_time_pence: float
    costs: Mapping[str, int]


@dataclass(frozen=True)
class Hearing:
    """How a heard verdict is weighed; limiter_* as shares of the design speed; own_*: of a person who listened."""

    confidence_at_most: float
    limiter_from: float
    limiter_not_below: float
    weight_without_design_rpm: float
    own_verdict_confidence: float


@dataclass(frozen=True)
class Spread:
    """Mean and standard deviation, degrees."""

    mean: float
    spread: float


@dataclass(frozen=True, eq=False)
class Strobe:
    """What the faults do to strobe readings, degrees: offset all along the range, drift from tickover to peak revs."""

    reading_error_deg: float
    wild_reading: float
    lowest_deg: float
    highest_deg: float
    offset: Mapping[str, Spread]
    drift: Mapping[str, Spread]
    healthy_offset_spread: float
    healthy_drift: Spread


@dataclass(frozen=True, eq=False)
class BankStep:
    """A test or repair of the bench: minutes, without what must come off first (access); how surely it clears what."""

    id: str
    do: str
    minutes: float
    access: str
    clears: Mapping[str, float]


@dataclass(frozen=True, eq=False)
class Bank:
    """The whole bank; compared by identity, so that what is made of it can be kept beside it.

    equivalent_cards: closed cards of the garage's own that the base rates weigh as.
    """

    edition: str
    most_at_once: int
    equivalent_cards: float
    ignition_worth_a_caution: float
    fault_worth_a_caution: float
    routing: Routing
    hearing: Hearing
    strobe: Strobe
    faults: tuple[Fault, ...]
    questions: tuple[Question, ...]
    contradictions: tuple[Mapping[str, str], ...]
    access_minutes: Mapping[str, float]
    steps: tuple[BankStep, ...]

    @cached_property
    def fault_ids(self) -> tuple[str, ...]:
        return tuple(fault.id for fault in self.faults)

    def fault(self, fault_id: str) -> Fault:
        """Raises KeyError where the bank has no such fault."""
        return {fault.id: fault for fault in self.faults}[fault_id]

    def question(self, question_id: str) -> Question:
        """Raises KeyError where the bank has no such question."""
        return self._question_by_id[question_id]

    @cached_property
    def _question_by_id(self) -> Mapping[str, Question]:
        return {question.id: question for question in self.questions}
