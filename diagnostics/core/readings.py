"""Readings taken in the workshop: what is read, in which unit, at what revs, and what is possible."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.core.judging.evidence import IDLE, PEAK
from garage.core.errors import BadInput
from garage.core.text.languages import in_figures, told, told_later

COMPRESSION, LEAK_DOWN = "compression", "leak_down"
KICK, UNSURE = "kick", "unsure"  # of the check sheet
LEAST_RPM, MOST_RPM = 100, 30_000  # rpm; no engine that comes here ticks over more slowly or turns faster


@dataclass(frozen=True)
class ReadingKind:
    """say: as on the card; units: each with its lowest and highest possible value; needs_rpm: it says little without
    its revs.
    """

    id: str
    say: str
    units: Mapping[str, tuple[float, float]]
    needs_rpm: bool


DEGREES = {"degrees BTDC": (-10.0, 60.0)}
MOST_PRESSURE = {"bar": 40.0, "psi": 580.0}  # above what any gauge for spark plug holes reads; 1 bar = 14.5038 psi
PSI_A_BAR = 14.5038
WEAK_BAR, STRONG_BAR = 6.2, 8.3  # 90 and 120 psi on a warm small two-stroke: common practice, no source
PER_CENT = "%"  # of the air that a leak-down tester puts in and that does not stay
GAUGES = MOST_PRESSURE | {PER_CENT: 100.0}  # what the gate's line for piston and bore takes, each with its highest
MOST_OF_A_GAUGE = int(max(GAUGES.values()))  # in whatever unit
PRESSURES = {unit: (0.0, most) for unit, most in MOST_PRESSURE.items()}
KINDS = (
    ReadingKind(IDLE, told_later("Timing by strobe at tickover"), DEGREES, needs_rpm=True),
    ReadingKind(PEAK, told_later("Timing by strobe at peak revs"), DEGREES, needs_rpm=True),
    ReadingKind(COMPRESSION, told_later("Compression by gauge"), PRESSURES, needs_rpm=False),
    ReadingKind(LEAK_DOWN, told_later("Leak-down"), {PER_CENT: (0.0, 100.0)}, needs_rpm=False),
)


@dataclass(frozen=True)
class ReadingTaken:
    """value: in the unit; rpm: None if not known."""

    kind: ReadingKind
    value: float
    unit: str
    rpm: int | None


def gauge_words(value: float, unit: str) -> str:
    """What the gauge or the leak-down tester read, in the language in force.

    >>> gauge_words(9.5, "bar"), gauge_words(8.0, PER_CENT)
    ('9.5 bar', '8% leak-down')
    """
    figures = in_figures(f"{value:g}")
    return told("{value}% leak-down", value=figures) if unit == PER_CENT else f"{figures} {unit}"


def line_told(words: str) -> str:
    """What a line of the card says was read, with the name of a known kind in the language in force.

    >>> line_told("Compression by gauge, cold")
    'Compression by gauge, cold'
    """
    known = next((kind.say for kind in KINDS if words == kind.say or words.startswith(f"{kind.say}, ")), "")
    return told(known) + words.removeprefix(known)


def answer_of(what: str, value: float, unit: str) -> tuple[str, float | str] | None:
    """The question of the check sheet that a reading answers, and its answer. None: it is for the gate alone.

    The gauge answers what the kickstart was asked, and better. Between weak and strong it says neither.

    >>> answer_of("compression", 5.5, "bar"), answer_of("compression", 120.4, "psi"), answer_of("compression", 7, "bar")
    (('kick', 'weak'), ('kick', 'strong'), ('kick', 'unsure'))
    >>> answer_of("strobe_idle", 22.0, "degrees BTDC"), answer_of("leak_down", 12.0, "%")
    (('strobe_idle', 22.0), None)
    """
    if what == LEAK_DOWN:
        return None
    if what != COMPRESSION:
        return what, value
    bar = value / PSI_A_BAR if unit == "psi" else value
    return KICK, "weak" if bar < WEAK_BAR else "strong" if bar >= STRONG_BAR else UNSURE


def read_reading(what: str, value: str, unit: str, rpm: int | None) -> ReadingTaken:
    """A reading from what was typed; an empty unit is the first of its kind. Raises BadInput naming the field.

    >>> read_reading("compression", "8,5", "", None).value
    8.5
    """
    kind = next((kind for kind in KINDS if kind.id == what), None)
    if kind is None:
        raise BadInput("What was read", what, "one of the list")
    unit = unit or next(iter(kind.units))
    if unit not in kind.units:
        raise BadInput("Unit", unit, " or ".join(kind.units))
    if rpm is None and kind.needs_rpm:
        raise BadInput("Revs", None, "at how many revs a minute it was read")
    if rpm is not None and not LEAST_RPM <= rpm <= MOST_RPM:
        raise BadInput("Revs", rpm, f"{LEAST_RPM} to {MOST_RPM} rpm")
    return ReadingTaken(kind, _number(value, unit, *kind.units[unit]), unit, rpm)


def _number(text: str, unit: str, lowest: float, highest: float) -> float:
    allowed = f"a number from {lowest:g} to {highest:g} {unit}"
    try:
        value = float(text.strip().replace(",", ".").replace("−", "-"))
    except ValueError as error:
        raise BadInput("The reading", text or None, allowed) from error
    if not lowest <= value <= highest:
        raise BadInput("The reading", text, allowed)
    return value
