"""The bank as values: what can be wrong, what may be asked, what the bench can do. reader.py makes it from the file."""

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
    """say: its name in plain words. chance: its base rate in a machine to which none of `times` applies.

    spoils: the visit kinds that are wasted on a machine with it. is_jetting: a jetting fault, or rich for another
    reason; left out when "merely rich" is judged. times: factors on its odds by machine trait or by what is booked:
    points, battery, automatic, four-stroke, vacuum-tap, and the visit kinds.
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

    kind: one answer, several, or a number (lowest to highest, in `unit`). answers: in rising order; if two faults show
    different answers, the later one is given. background: chances of the answers if no fault shows any. shows: fault
    id to answer id to the chance that the fault causes the answer, net of the background. said: what owners say, given
    what was shown, if the two differ. A question about the machine's story has instead `share` (how often each answer
    is given) and `factors` (answer id to fault id to the factor on its odds); together: more factors, where all of some
    answers are given. One that says what machine it is names in of_machine what it tells, and says nothing of a fault
    by itself. cost_pence: what asking costs. not_on: machine traits it does not apply to. not_when: answers to other
    questions after which it is not asked. needs: questions that must have been answered.
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
    together: tuple[tuple[frozenset[str], Mapping[str, float]], ...] = ()
    of_machine: str = ""
    needs: tuple[str, ...] = ()

    @cached_property
    def answer_ids(self) -> tuple[str, ...]:
        return tuple(choice.id for choice in self.answers)

    @property
    def is_story(self) -> bool:
        """Whether the answer changes the base rates, rather than being a sign of a fault."""
        return bool(self.share)

    def say(self, answer: str) -> str:
        """The words of an answer on the check sheet; a number comes back as it is."""
        return next((choice.say for choice in self.answers if choice.id == answer), answer)


@dataclass(frozen=True)
class Routing:
    """The shares of the route rule, and its costs in pence by name.

    stopped_in_time_pence: what it is worth to know before the visit that a machine must not be run.
    """

    settled_by_call: float
    settled_by_call_at_most: float
    settled_more_by_a_contradiction: float
    merely_rich: float
    stopped_in_time_pence: float
    costs: Mapping[str, int]


@dataclass(frozen=True)
class Hearing:
    """How a heard verdict is weighed. limiter_*, revs_out_*: shares of the design speed; own_*: for a person who
    listened.
    """

    confidence_at_most: float
    limiter_from: float
    limiter_not_below: float
    weight_without_design_rpm: float
    own_verdict_confidence: float
    revs_out_from: float
    revs_out_not_below: float


@dataclass(frozen=True)
class Spread:
    """Mean and standard deviation, degrees."""

    mean: float
    spread: float


@dataclass(frozen=True, eq=False)
class Strobe:
    """What the faults do to strobe readings, in degrees: offset at all revs, drift from tickover to peak revs.

    eases_back_by_design: share of machines with no curve stated whose ignition moves back, by eases_back.
    """

    reading_error_deg: float
    wild_reading: float
    lowest_deg: float
    highest_deg: float
    offset: Mapping[str, Spread]
    drift: Mapping[str, Spread]
    healthy_offset_spread: float
    healthy_drift: Spread
    eases_back_by_design: float
    eases_back: Spread


@dataclass(frozen=True, eq=False)
class BankStep:
    """A test on the bench. minutes: without what must come off first (access). clears: fault id to the chance that it
    shows the fault, which is then put right by its own repair, if it has one.

    opens_throttle: it opens the throttle far or loads the engine. makes_safe: findings, "id=value" or "id" for any
    value, after which it comes first on a machine that must not be run. only_on: machine traits; empty for all.
    """

    id: str
    do: str
    minutes: float
    access: str
    clears: Mapping[str, float]
    opens_throttle: bool = False
    makes_safe: tuple[str, ...] = ()
    only_on: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Retest:
    """The test that follows a repair. opens_throttle: as for a step."""

    do: str
    minutes: float
    opens_throttle: bool


@dataclass(frozen=True, eq=False)
class Repair:
    """What puts a fault right. minutes: without the re-test. on: words and minutes by trait, where they differ."""

    do: str
    minutes: float
    retest: Retest | None
    on: Mapping[str, tuple[str, float]]


@dataclass(frozen=True)
class Access:
    """What must come off before some steps. minutes: once, for all of them."""

    say: str
    minutes: float


@dataclass(frozen=True, eq=False)
class Bank:
    """The whole bank. Compared by identity, so that what is computed from it can be cached.

    equivalent_cards: how many of the garage's own closed cards the base rates count for. repairs: by fault id.
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
    access: Mapping[str, Access]
    steps: tuple[BankStep, ...]
    repairs: Mapping[str, Repair]

    @cached_property
    def access_minutes(self) -> Mapping[str, float]:
        """Minutes by what must come off."""
        return {name: access.minutes for name, access in self.access.items()}

    @cached_property
    def fault_ids(self) -> tuple[str, ...]:
        return tuple(fault.id for fault in self.faults)

    def fault(self, fault_id: str) -> Fault:
        """Raises KeyError if the bank has no such fault."""
        return {fault.id: fault for fault in self.faults}[fault_id]

    def question(self, question_id: str) -> Question:
        """Raises KeyError if the bank has no such question."""
        return self._question_by_id[question_id]

    @cached_property
    def _question_by_id(self) -> Mapping[str, Question]:
        return {question.id: question for question in self.questions}
