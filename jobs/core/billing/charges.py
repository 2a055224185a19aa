"""What a finished visit costs: the booked session at its price, bench labour by the clock, parts.

The rule, in sentences that every invoice preview also shows:
1. A roller session costs its booked price; its own gate and roller time are in that price, whoever's clock ran.
2. A bench visit costs its booked price, which covers its booked minutes of labour.
3. All other labour by the clock costs the shop's hourly price, in tenths of an hour, rounded as the shop has set.
Labour that an accepted estimate names is charged as estimated: the clock counts only beyond it.
The rule is the garage's own: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal

from garage.core.charged_time import DOWN, ROUNDED, chargeable_minutes, hours
from garage.core.errors import BadInput
from garage.core.text.languages import told
from jobs.core.billing.invoice import Kind, Line
from jobs.core.labour import Spell, worked_minutes

ROLLER = "roller"


@dataclass(frozen=True)
class Stretch:
    """A stretch of time between two aware datetimes."""

    begins: datetime
    ends: datetime


@dataclass(frozen=True)
class Part:
    """words: as on the card; quantity: > 0; price_each: pounds, VAT included, ≥ 0."""

    words: str
    quantity: Decimal
    price_each: Decimal


@dataclass(frozen=True)
class Charge:
    """A line to invoice and the unit of its quantity: "h", or empty for pieces."""

    line: Line
    unit: str = ""


@dataclass(frozen=True)
class Work:
    """What was booked and what was done.

    at: "roller" or "bench". price: pounds, VAT included, as booked. was_held: the roller session took place.
    labour: the card's clocks, all stopped. in_price: stretches that the session's price covers (gate, roller steps).
    labour_per_hour: pounds, VAT included. rounding: of labour to tenths of an hour. vat_percent: 0 if the shop is not
    registered for VAT. estimated_minutes: of labour that lines of an accepted estimate charge.
    """

    kind: str
    at: str
    booked_minutes: int
    price: Decimal
    was_held: bool
    labour: tuple[Spell, ...]
    in_price: tuple[Stretch, ...]
    labour_per_hour: Decimal
    parts: tuple[Part, ...]
    vat_percent: Decimal = Decimal(20)
    rounding: str = DOWN
    estimated_minutes: int = 0


def charges(work: Work) -> tuple[Charge, ...]:
    """The invoice lines in order: session, labour, parts. Empty if there is nothing to charge.

    Raises BadInput if a clock is still running, and for the prices and quantities that Line refuses.

    >>> def clock(begins, ends):
    ...     return Spell("jo", datetime(2026, 3, 10, *begins, tzinfo=UTC), datetime(2026, 3, 10, *ends, tzinfo=UTC))
    >>> on_rollers = clock((10, 0), (11, 30))
    >>> for charge in charges(Work(
    ...     kind="Set-up", at="roller", booked_minutes=90, price=Decimal("120.00"), was_held=True,
    ...     labour=(clock((9, 0), (9, 50)), on_rollers), in_price=(Stretch(on_rollers.began_at, on_rollers.ended_at),),
    ...     labour_per_hour=Decimal("45.00"), parts=(Part("Main jet 98", Decimal(1), Decimal("4.50")),),
    ... )):
    ...     print(charge.line.words, charge.line.quantity, charge.unit, charge.line.gross)
    Set-up, 90 minutes on the rollers 1  120.00
    Bench labour by the clock, in tenths of an hour, rounded down 0.80 h 36.00
    Main jet 98 1  4.50
    """
    parts = (Charge(Line("part", p.words, p.quantity, p.price_each, work.vat_percent)) for p in work.parts)
    return (*_session(work), *_labour(work), *parts)


def uncharged(lines: tuple[Charge, ...], *, words: str) -> tuple[Charge, ...]:
    """The same lines and one that takes all of it off, so that the paper says what was done. None of none.

    >>> jet = Charge(Line("part", "Main jet 98", Decimal(2), Decimal("4.50")))
    >>> [str(charge.line.gross) for charge in uncharged((jet,), words="Come-back of visit 41: no charge")]
    ['9.00', '-9.00']
    """
    gross = sum((charge.line.gross for charge in lines), Decimal(0))
    if not gross:
        return lines
    return (*lines, Charge(Line("other", words, Decimal(1), -gross, lines[0].line.vat_percent)))


def labour_minutes(clocks: Iterable[Spell], covered: Sequence[Stretch]) -> int:
    """Person-minutes of labour outside all covered stretches, rounded down to the whole minute.

    Raises BadInput if a clock is still running.

    >>> nine, half_past, ten = (datetime(2026, 3, 10, h, m, tzinfo=UTC) for h, m in ((9, 0), (9, 30), (10, 0)))
    >>> labour_minutes([Spell("jo", nine, ten), Spell("al", nine, ten)], [Stretch(half_past, ten)])
    60
    """
    left: list[Spell] = []
    for clock in clocks:
        if clock.ended_at is None:
            raise BadInput("labour", None, "clocks that are all stopped")
        left += _outside(clock.by, Stretch(clock.began_at, clock.ended_at), covered)
    return worked_minutes(left, max((s.ended_at for s in left if s.ended_at), default=datetime.min.replace(tzinfo=UTC)))


def covered_minutes(work: Work) -> int:
    """Minutes of labour included in a bench visit's price. 0 for the rollers: their stretches are left out."""
    return 0 if work.at == ROLLER else work.booked_minutes


def _session(work: Work) -> tuple[Charge, ...]:
    if work.at != ROLLER:
        words = told("{kind}, up to {minutes} minutes of bench labour", kind=work.kind, minutes=work.booked_minutes)
    elif work.was_held:
        words = told("{kind}, {minutes} minutes on the rollers", kind=work.kind, minutes=work.booked_minutes)
    else:
        return ()
    kind: Kind = "roller" if work.at == ROLLER else "labour"
    return (Charge(Line(kind, words, Decimal(1), work.price, work.vat_percent)),)


def _labour(work: Work) -> tuple[Charge, ...]:
    charged_for = covered_minutes(work) + work.estimated_minutes
    worked = max(0, labour_minutes(work.labour, work.in_price) - charged_for)
    minutes = chargeable_minutes(worked, rounding=work.rounding)
    if not minutes:
        return ()
    is_all = work.at == ROLLER and not work.estimated_minutes
    rounded = told(ROUNDED[work.rounding])
    if is_all:
        words = told("Bench labour by the clock, in tenths of an hour, {rounded}", rounded=rounded)
    else:
        words = told("Further bench labour by the clock, in tenths of an hour, {rounded}", rounded=rounded)
    line = Line("labour", words, hours(minutes), work.labour_per_hour, work.vat_percent)
    return (Charge(line, "h"),)


def _outside(by: str, clock: Stretch, covered: Sequence[Stretch]) -> list[Spell]:
    """The parts of the spell outside every covered stretch."""
    left, begins = [], clock.begins
    for stretch in sorted(covered, key=lambda each: each.begins):
        if stretch.begins > begins:
            left.append(Spell(by, begins, min(stretch.begins, clock.ends)))
        begins = max(begins, stretch.ends)
        if begins >= clock.ends:
            return left
    return [*left, Spell(by, begins, clock.ends)]
