"""The list of the gate, in two parts: at the bench, then strapped down on the rollers. Each line with what may fail it.

The list and its pass criteria: common practice, no source. It does not replace the rules of the site, nor the work that
only a licensed trade may sign off.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from garage.core.text.languages import told_later

AT_BENCH, STRAPPED_DOWN = "bench", "strapped"
PARTS = {AT_BENCH: "At the bench", STRAPPED_DOWN: "Strapped down"}
OK, BAD, NOT_APPLICABLE = "ok", "bad", "na"
RESULTS = {OK: told_later("in order"), BAD: told_later("not in order"), NOT_APPLICABLE: "does not apply"}

LEAKS, MIX, COMPRESSION, KILL_SWITCH = "leaks", "mix", "compression", "kill-switch"
REV_OUT_LINE, STROBE_LINE = "rev-out", "strobe"
SECOND_LINE, HIGHEST_REVS = "second-person", "highest-revs"


@dataclass(frozen=True)
class Item:
    """One line of the list.

    bad: the sentence if it fails. results: what it may be answered with, in words by result; rev-out and strobe have
    none, since what was seen answers them. runs_engine: whether the engine runs for it. after: the lines that must be
    in order before it is done, so that nobody starts an engine that leaks or that nothing can stop.
    """

    id: str
    part: str
    say: str
    bad: str = ""
    results: tuple[tuple[str, str], ...] = ((OK, RESULTS[OK]), (BAD, RESULTS[BAD]))
    runs_engine: bool = False
    after: tuple[str, ...] = ()

    @property
    def short(self) -> str:
        """As in "oil and coolant", for the list of what is left."""
        return _SHORT.get(self.id, self.id.replace("-", " "))

    @property
    def allowed(self) -> str:
        return " or ".join(words for _, words in self.results)


_SHORT = {"oil-coolant": "oil and coolant", "co-alarm": "CO alarm", "rev-out": "rev-out", "spindle": "spindle nut"}
ANY_RESULT = tuple(RESULTS.items())
_BEFORE_START = (LEAKS, MIX, "oil-coolant", "throttle", "exhaust")
_BEFORE_REVVING = (*_BEFORE_START, KILL_SWITCH)
_WITH_GAUGE = ((OK, RESULTS[OK]), (BAD, RESULTS[BAD]), (NOT_APPLICABLE, "not measured"))
_WITH_LIMIT = ((OK, "not above this"), (NOT_APPLICABLE, "no limit today"))

BENCH_LINES = (
    Item(LEAKS, AT_BENCH, "No leaks of petrol, oil or coolant", "It leaks."),
    Item("fuel", AT_BENCH, "Enough petrol for the session", "There is not enough petrol in it."),
    Item(MIX, AT_BENCH, "The right petrol, with the right oil in it", "The petrol or its mix is wrong."),
    Item("oil-coolant", AT_BENCH, "Oil and coolant at their marks", "Oil or coolant is not in order.", ANY_RESULT),
    Item(
        "tyre",
        AT_BENCH,
        "Tyre sound, at the right pressure, nothing loose in the tread",
        "The tyre is not fit for the rollers.",
    ),
    Item(
        "drive",
        AT_BENCH,
        "Drive chain or belt: wear, tension, guard",
        "The drive chain or belt is not in order.",
        ANY_RESULT,
    ),
    Item(
        "spindle", AT_BENCH, "Wheel spindle nut tight and locked", "The wheel spindle nut is not tight or not locked."
    ),
    Item("brakes", AT_BENCH, "Brakes work and release", "The brakes are not in order."),
    Item(
        "throttle",
        AT_BENCH,
        "The throttle opens fully and snaps shut by itself",
        "The throttle does not open fully, or does not snap shut.",
    ),
    Item(
        COMPRESSION,
        AT_BENCH,
        told_later("Compression by gauge, or leak-down"),
        "The compression is not in order.",
        _WITH_GAUGE,
    ),
    Item("exhaust", AT_BENCH, "Exhaust on and tight", "The exhaust is not on or not tight."),
    Item(
        KILL_SWITCH,
        AT_BENCH,
        "The kill switch stops it",
        "The kill switch does not stop it.",
        runs_engine=True,
        after=_BEFORE_START,
    ),
    Item(STROBE_LINE, AT_BENCH, told_later("Strobe"), results=(), runs_engine=True, after=_BEFORE_REVVING),
    Item(REV_OUT_LINE, AT_BENCH, "The rev-out on the stand", results=(), runs_engine=True, after=_BEFORE_REVVING),
)
STRAPPED_LINES = (
    Item("strapping", STRAPPED_DOWN, "Strapped down, straps and anchors sound", "The strapping is not sound."),
    Item("guards", STRAPPED_DOWN, "Guards over rollers and drive in place", "A guard is missing."),
    Item("extraction", STRAPPED_DOWN, "Extraction running and at the exhaust", "The extraction is not running."),
    Item("co-alarm", STRAPPED_DOWN, "CO alarm on and tested", "The CO alarm is not there or not working."),
    Item("extinguisher", STRAPPED_DOWN, "Extinguisher at hand", "No extinguisher is at hand."),
    Item(
        "emergency-stop",
        STRAPPED_DOWN,
        "Emergency stop of the rollers tried",
        "The emergency stop of the rollers does not work.",
    ),
    Item(SECOND_LINE, STRAPPED_DOWN, "A second person within call", "No second person is within call."),
    Item("ears", STRAPPED_DOWN, "Ear protection on everybody in the room", "Ear protection is missing."),
    Item(HIGHEST_REVS, STRAPPED_DOWN, "Highest revs today", results=_WITH_LIMIT),
)
LINES = (*BENCH_LINES, *STRAPPED_LINES)
RUNNING_LINES = tuple(line for line in LINES if line.runs_engine)
ITEMS = tuple(line for line in LINES if line.results)  # answered with a result of their own
# Answered, they may change which lines are offered with the engine running: what comes before one, and the strobe,
# whose readings may forbid the rev-out.
DECIDE_ON_RUNNING = frozenset({STROBE_LINE, *(item for line in LINES for item in line.after)})
_BY_ID = {line.id: line for line in LINES}


def line_called(line_id: str) -> Item | None:
    return _BY_ID.get(line_id)


def is_let_through(line: Item, overridden: Collection[str]) -> bool:
    """Whether the line failed a gate that was then overridden, whatever its note. overridden: what failed it, as
    sentences.

    >>> is_let_through(_BY_ID["ears"], ["Ear protection is missing. One pair short."])
    True
    """
    return bool(line.bad) and any(fail.startswith(line.bad) for fail in overridden)


def lines_of(part: str) -> tuple[Item, ...]:
    """The lines of a part in the order of doing."""
    return BENCH_LINES if part == AT_BENCH else STRAPPED_LINES
