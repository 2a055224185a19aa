"""Invoice lines and totals that always add up.

Prices include VAT, as quoted to private owners. VAT is worked out once per rate, by the VAT fraction of the sum of
its lines, and net is what remains. Lines are not rounded for VAT one by one, so net + VAT = gross holds to the penny
for each rate and for the total. A shop that is not registered shows no VAT at all. What is zero-rated and what is
exempt both carry 0 %, but are two kinds of supply and summed apart, as a VAT return and EN 16931 (BG-23) ask.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, get_args

from garage.core.currencies import in_units, tax_name
from garage.core.errors import BadInput, Refused
from garage.core.money import MOST, net_in, pounds_words, short_pounds_words, to_penny

Kind = Literal["labour", "part", "roller", "other"]
KINDS = get_args(Kind)
VatCategory = Literal["S", "Z", "E", "O"]  # UNTDID 5305: standard or reduced, zero-rated, exempt, outside VAT
STANDARD: VatCategory = "S"
ZERO: VatCategory = "Z"
EXEMPT: VatCategory = "E"
OUTSIDE: VatCategory = "O"
MOST_OF_A_PART = Decimal(9999)
MOST_QUANTITY = Decimal(999_999)  # hours of one clock in 114 years
SIMPLIFIED_LIMIT = Decimal(250)  # pounds with VAT, SI 1995/2518 reg. 16A: total not over £250
NOTHING = Decimal("0.00")


@dataclass(frozen=True)
class Line:
    """One line. quantity: above 0, at most two decimals. price_each: whole pence, VAT included.

    price_each may be below 0 only on `other`: a discount. vat_percent: 0 to 100; total_without_vat ignores it.
    is_exempt: tells exempt from zero-rated, which both carry 0 %.
    """

    kind: Kind
    words: str
    quantity: Decimal
    price_each: Decimal
    vat_percent: Decimal = Decimal(20)
    is_exempt: bool = False

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise BadInput("kind", self.kind, ", ".join(KINDS))
        if not self.words.strip():
            raise BadInput("words", self.words, "a few words to say what it is")
        if not (self.quantity.is_finite() and 0 < self.quantity <= MOST_QUANTITY) or _is_finer(self.quantity):
            raise BadInput("quantity", self.quantity, "a number above 0, at most 999999, with at most two decimals")
        if not self.price_each.is_finite() or _is_finer(self.price_each):
            raise BadInput("price", self.price_each, in_units("{units} and whole {hundredths}"))
        if self.price_each < 0 and self.kind != "other":
            raise BadInput("price", self.price_each, "0 or more (money off goes on a line of kind other)")
        if not (self.vat_percent.is_finite() and 0 <= self.vat_percent <= 100):
            raise BadInput(in_units("{tax} rate"), self.vat_percent, "0 to 100 per cent")
        if self.is_exempt and self.vat_percent:
            raise BadInput(
                in_units("{tax} rate"), self.vat_percent, in_units("0 per cent on what is exempt from {tax}")
            )

    @property
    def vat_category(self) -> VatCategory:
        """Of a shop that is registered for VAT."""
        if self.is_exempt:
            return EXEMPT
        return STANDARD if self.vat_percent else ZERO

    @property
    def gross(self) -> Decimal:
        """Quantity times price, whole pence, half up."""
        return to_penny(self.quantity * self.price_each)


@dataclass(frozen=True)
class BilledLine:
    """A line with its share of net and VAT. The shares add up to the invoice's totals."""

    line: Line
    net: Decimal
    vat: Decimal
    gross: Decimal
    vat_category: VatCategory


@dataclass(frozen=True)
class RateTotal:
    """All lines of one VAT rate and category: net + vat = gross."""

    percent: Decimal
    net: Decimal
    vat: Decimal
    gross: Decimal
    category: VatCategory


@dataclass(frozen=True)
class Totals:
    """net + vat = gross, all in whole pence.

    by_rate: highest rate first; empty for a shop that is not registered.
    """

    lines: tuple[BilledLine, ...]
    by_rate: tuple[RateTotal, ...]
    net: Decimal
    vat: Decimal
    gross: Decimal
    deposit: Decimal


def total_with_vat(lines: Sequence[Line], deposit: Decimal = NOTHING) -> Totals:
    """The totals for a shop registered for VAT. deposit: pounds already paid, 0 or more.

    Raises BadInput for a deposit below 0 or no lines, Refused if discounts exceed the rest, in total or at one rate.
    Source: the VAT fraction and retailers' rounding, HMRC Notice 700; the deposit changes neither VAT nor total.

    >>> bill = total_with_vat([Line("roller", "set-up", Decimal(1), Decimal("250.00"))], deposit=Decimal("50.00"))
    >>> bill.net, bill.vat, bill.deposit
    (Decimal('208.33'), Decimal('41.67'), Decimal('50.00'))
    """
    rates = sorted({_rate_of(line) for line in lines}, key=lambda rate: (-rate[0], rate[1]))
    by_rate = tuple(_rate_total(rate, lines) for rate in rates)
    net = sum((rate.net for rate in by_rate), NOTHING)
    vat = sum((rate.vat for rate in by_rate), NOTHING)
    return _settled(_shared_out(lines), by_rate, net, vat, deposit)


def total_without_vat(lines: Sequence[Line], deposit: Decimal = NOTHING) -> Totals:
    """The totals for a shop not registered: no VAT, net is gross. Same errors as total_with_vat.

    >>> total_without_vat([Line("roller", "set-up", Decimal(1), Decimal("250.00"))]).vat
    Decimal('0.00')
    """
    billed = tuple(BilledLine(line, line.gross, NOTHING, line.gross, OUTSIDE) for line in lines)
    return _settled(billed, (), sum((line.gross for line in lines), NOTHING), NOTHING, deposit)


def too_much(totals: Totals) -> str:
    """Why these lines fit no invoice, as a sentence; empty if they do. Nothing on it comes to more than money.MOST.

    >>> too_much(total_without_vat([Line("part", "crank", Decimal(9999), Decimal("999999.99"))]))
    'The lines come to £9,998,999,900.01, and an invoice takes at most £999,999.99: look for a slip of the keys.'
    """
    most = max(abs(line.gross) for line in totals.lines)
    if max(most, totals.gross, totals.deposit) <= MOST:
        return ""
    said = pounds_words(max(most, totals.gross, totals.deposit))
    return f"The lines come to {said}, and an invoice takes at most {pounds_words(MOST)}: look for a slip of the keys."


def may_be_simplified(gross: Decimal) -> bool:
    """Whether a simplified invoice is allowed for this total, VAT included.

    Source: SI 1995/2518 reg. 16A, not over £250 with VAT.

    >>> may_be_simplified(Decimal("250.00")), may_be_simplified(Decimal("250.01"))
    (True, False)
    """
    return gross <= SIMPLIFIED_LIMIT


def full_needs_address() -> str:
    """What is asked for above the limit.

    >>> full_needs_address()
    'a name and an address: over £250 with VAT a full invoice is needed, and it carries both'
    """
    limit = short_pounds_words(SIMPLIFIED_LIMIT)
    return f"a name and an address: over {limit} with {tax_name()} a full invoice is needed, and it carries both"


def _rate_of(line: Line) -> tuple[Decimal, VatCategory]:
    return line.vat_percent, line.vat_category


def _rate_total(rate: tuple[Decimal, VatCategory], lines: Sequence[Line]) -> RateTotal:
    percent, category = rate
    gross = sum((line.gross for line in lines if _rate_of(line) == rate), NOTHING)
    if gross < 0:
        raise Refused(
            f"The lines at {percent.normalize():f} % {tax_name()} come to {pounds_words(gross)}: take less off, "
            "or give the money back with a credit note."
        )
    net = net_in(gross, percent)
    return RateTotal(percent, net, gross - net, gross, category)


def _shared_out(lines: Sequence[Line]) -> tuple[BilledLine, ...]:
    """Each line's net is its increment to the running net of its rate, so they sum exactly to the rate's net."""
    so_far: dict[Decimal, Decimal] = {}
    billed = []
    for line in lines:
        before = so_far.get(line.vat_percent, NOTHING)
        after = before + line.gross
        net = net_in(after, line.vat_percent) - net_in(before, line.vat_percent)
        billed.append(BilledLine(line, net, line.gross - net, line.gross, line.vat_category))
        so_far[line.vat_percent] = after
    return tuple(billed)


def _settled(
    billed: tuple[BilledLine, ...], by_rate: tuple[RateTotal, ...], net: Decimal, vat: Decimal, deposit: Decimal
) -> Totals:
    gross = net + vat
    if not billed:
        raise BadInput("lines", None, "at least one line")
    if gross < 0:
        raise Refused(f"The lines come to {pounds_words(gross)}: take less off, or give it back with a credit note.")
    if not deposit.is_finite() or deposit < 0 or _is_finer(deposit):
        raise BadInput("deposit", deposit, "0 or more, in whole pence")
    return Totals(billed, by_rate, net, vat, gross, to_penny(deposit))


def _is_finer(value: Decimal) -> bool:
    return value != to_penny(value)
